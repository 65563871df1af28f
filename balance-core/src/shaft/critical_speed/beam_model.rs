//! Natural bending modes of a beam by finite elements.

use super::beam_fault::TOUCH;
use super::element::{Four, mass, stiffness};
use super::{Beam, BeamFault, Restraint};
use crate::linear::{RMatrix, generalised_eigen};
use crate::quantity::{Length, Speed};

/// How finely the beam is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mesh {
    /// At least this many elements over the whole beam.
    pub elements: usize,
}

/// With this many elements the first four critical speeds are within 0.1 % of the closed formulas that exist, the first
/// one within 0.001 % (tests).
pub const DEFAULT_ELEMENTS: usize = 64;

/// No mesh is finer than this, whatever the request.
const MOST_ELEMENTS: usize = 400;

impl Default for Mesh {
    fn default() -> Self {
        Self { elements: DEFAULT_ELEMENTS }
    }
}

/// One way of bending.
#[derive(Debug, Clone, PartialEq)]
pub struct Mode {
    /// The critical speed.
    pub speed: Speed,
    /// (position in mm from the front joint centre, deflection), the largest deflection being 1.
    pub shape: Vec<(f64, f64)>,
    /// How much of the elastic energy is in the springs of the supports: near 1 the shaft does not bend but
    /// moves on its steady bearing.
    pub support_share: f64,
}

/// The lowest `count` bending modes, lowest speed first.
///
/// Two-node Timoshenko elements, consistent mass with rotary inertia; 1/ω² from the generalised symmetric
/// eigenproblem of mass and stiffness. Fewer modes are returned if fewer have any mass.
///
/// # Errors
///
/// Every [`BeamFault`] found.
///
/// ```
/// use balance_core::quantity::parse;
/// use balance_core::shaft::{Beam, BeamProperties, Material, Mesh, RoundSection, bending_modes};
/// let steel = Material::named("steel").expect("the table has steel");
/// let tube = RoundSection::new(parse("90 mm")?, parse("84 mm")?).expect("a wall of 3 mm");
/// let beam = Beam::pinned(parse("1500 mm")?, BeamProperties::euler_bernoulli(tube, &steel));
/// let modes = bending_modes(&beam, Mesh::default(), 1).expect("a pinned beam is held");
/// assert!((modes[0].speed.rpm() - 6620.2).abs() < 0.5);
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
pub fn bending_modes(beam: &Beam, mesh: Mesh, count: usize) -> Result<Vec<Mode>, Vec<BeamFault>> {
    let faults = beam.faults();
    if !faults.is_empty() {
        return Err(faults);
    }
    let model = Model::build(beam, mesh);
    let (mass, stiffness) = model.free_matrices();
    let Some(pairs) = generalised_eigen(&mass, &stiffness) else {
        return Err(vec![BeamFault::NotHeld]);
    };
    let largest = pairs.values.first().copied().unwrap_or(0.0);
    // Steel cannot whirl this slowly: such a mode is a mechanism with rounding errors.
    if largest > SLOWEST.powi(-2) {
        return Err(vec![BeamFault::NotHeld]);
    }
    let modes: Vec<Mode> = (0..pairs.values.len().min(count))
        .filter(|&index| pairs.values[index] > largest * f64::EPSILON)
        .filter_map(|index| model.mode(pairs.values[index], pairs.vectors.column(index).as_slice()))
        .collect();
    if modes.is_empty() { Err(vec![BeamFault::NoMass]) } else { Ok(modes) }
}

/// In rad/s: about one turn in ten minutes.
const SLOWEST: f64 = 0.01;

/// The assembled model: every node has a deflection and a slope, or two slopes at a joint.
struct Model {
    /// In mm.
    positions: Vec<f64>,
    /// Index of each node's deflection, slope towards the front, slope towards the rear.
    unknowns: Vec<[usize; 3]>,
    mass: RMatrix,
    stiffness: RMatrix,
    /// The stiffness that the supports' springs add.
    springs: Vec<(usize, f64)>,
    free: Vec<usize>,
}

impl Model {
    fn build(beam: &Beam, mesh: Mesh) -> Self {
        let positions = nodes(beam, mesh);
        let unknowns = number_unknowns(beam, &positions);
        let size = unknowns.last().map_or(0, |node| node[2] + 1);
        let mut model = Self {
            mass: RMatrix::zeros(size, size),
            stiffness: RMatrix::zeros(size, size),
            springs: Vec::new(),
            free: Vec::new(),
            positions,
            unknowns,
        };
        model.add_elements(beam);
        model.add_masses(beam);
        model.add_supports(beam);
        model
    }

    fn add_elements(&mut self, beam: &Beam) {
        for node in 1..self.positions.len() {
            let middle = (self.positions[node - 1] + self.positions[node]) / 2.0;
            let Some(piece) = beam.pieces.iter().find(|piece| middle < piece.to.millimetres()) else {
                continue;
            };
            let length = (self.positions[node] - self.positions[node - 1]) / 1000.0;
            let (front, rear) = (self.unknowns[node - 1], self.unknowns[node]);
            let places = [front[0], front[2], rear[0], rear[1]];
            add(&mut self.mass, places, &mass(&piece.properties, length));
            add(&mut self.stiffness, places, &stiffness(&piece.properties, length));
        }
    }

    fn add_masses(&mut self, beam: &Beam) {
        for mass in &beam.masses {
            let [deflection, slope, _] = self.unknowns[self.node_at(mass.position)];
            self.mass[(deflection, deflection)] += mass.mass.kilograms();
            self.mass[(slope, slope)] += mass.rotary_inertia;
        }
    }

    fn add_supports(&mut self, beam: &Beam) {
        let mut held = Vec::new();
        for support in &beam.supports {
            let [deflection, front, rear] = self.unknowns[self.node_at(support.position)];
            match support.restraint {
                Restraint::Pinned => held.push(deflection),
                Restraint::Clamped => held.extend([deflection, front, rear]),
                Restraint::Elastic(spring) => {
                    let newtons_per_metre = spring.newtons_per_millimetre() * 1000.0;
                    self.stiffness[(deflection, deflection)] += newtons_per_metre;
                    self.springs.push((deflection, newtons_per_metre));
                }
            }
        }
        self.free = (0..self.mass.nrows()).filter(|unknown| !held.contains(unknown)).collect();
    }

    fn node_at(&self, position: Length) -> usize {
        let distance = |node: &usize| (self.positions[*node] - position.millimetres()).abs();
        (0..self.positions.len()).min_by(|a, b| distance(a).total_cmp(&distance(b))).unwrap_or(0)
    }

    fn free_matrices(&self) -> (RMatrix, RMatrix) {
        let pick = |matrix: &RMatrix| matrix.select_rows(&self.free).select_columns(&self.free);
        (pick(&self.mass), pick(&self.stiffness))
    }

    /// The mode of one eigenvalue 1/ω², from its vector over the free unknowns, scaled to xᵀ·K·x = 1.
    fn mode(&self, value: f64, vector: &[f64]) -> Option<Mode> {
        let mut all = vec![0.0; self.mass.nrows()];
        for (&unknown, &entry) in self.free.iter().zip(vector) {
            all[unknown] = entry;
        }
        let deflections: Vec<f64> = self.unknowns.iter().map(|node| all[node[0]]).collect();
        let largest =
            deflections.iter().copied().fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
        if largest == 0.0 {
            return None;
        }
        Some(Mode {
            speed: Speed::from_rpm(value.powf(-0.5) * 30.0 / std::f64::consts::PI).ok()?,
            shape: self.positions.iter().zip(&deflections).map(|(&at, &w)| (at, w / largest)).collect(),
            support_share: self.springs.iter().map(|&(unknown, k)| k * all[unknown].powi(2)).sum(),
        })
    }
}

/// Node positions in mm: every step, mass, support and joint, and as many between as the mesh asks for.
fn nodes(beam: &Beam, mesh: Mesh) -> Vec<f64> {
    let mut places: Vec<f64> = beam
        .pieces
        .iter()
        .flat_map(|piece| [piece.from, piece.to])
        .chain(beam.masses.iter().map(|mass| mass.position))
        .chain(beam.supports.iter().map(|support| support.position))
        .chain(beam.hinges.iter().copied())
        .map(Length::millimetres)
        .collect();
    places.sort_by(f64::total_cmp);
    places.dedup_by(|later, earlier| *later - *earlier <= TOUCH);
    let whole = places.last().unwrap_or(&0.0) - places.first().unwrap_or(&0.0);
    let longest = whole / mesh.elements.clamp(1, MOST_ELEMENTS) as f64;
    let mut nodes: Vec<f64> = places.first().copied().into_iter().collect();
    for pair in places.windows(2) {
        let count = ((pair[1] - pair[0]) / longest - 1e-9).ceil().max(1.0) as usize;
        nodes.extend((1..=count).map(|k| pair[0] + (pair[1] - pair[0]) * k as f64 / count as f64));
    }
    nodes
}

fn number_unknowns(beam: &Beam, positions: &[f64]) -> Vec<[usize; 3]> {
    let is_hinge = |at: f64| beam.hinges.iter().any(|hinge| (hinge.millimetres() - at).abs() <= TOUCH);
    let mut next = 0;
    positions
        .iter()
        .map(|&at| {
            let deflection = next;
            let rear = if is_hinge(at) { deflection + 2 } else { deflection + 1 };
            next = rear + 1;
            [deflection, deflection + 1, rear]
        })
        .collect()
}

fn add(matrix: &mut RMatrix, places: [usize; 4], element: &Four) {
    for (i, row) in places.iter().zip(element) {
        for (j, entry) in places.iter().zip(row) {
            matrix[(*i, *j)] += entry;
        }
    }
}
