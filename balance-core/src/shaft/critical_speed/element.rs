//! The two-node beam element that can shear.

use super::BeamProperties;

/// A 4 × 4 matrix over (deflection, slope) at the front and the rear node.
pub(super) type Four = [[f64; 4]; 4];

/// Stiffness of a Timoshenko element of length `l` in m, exact for end loads, with Φ = 12·EI/(κGA·l²)
/// (J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968, ch. 5).
pub(super) fn stiffness(beam: &BeamProperties, l: f64) -> Four {
    let phi = shear_parameter(beam, l);
    let k = beam.bending_stiffness / (l.powi(3) * (1.0 + phi));
    let (near, far) = ((4.0 + phi) * l * l * k, (2.0 - phi) * l * l * k);
    let (shear, moment) = (12.0 * k, 6.0 * l * k);
    [
        [shear, moment, -shear, moment],
        [moment, near, -moment, far],
        [-shear, -moment, shear, -moment],
        [moment, far, -moment, near],
    ]
}

/// Consistent mass of the same element: what moves sideways and what turns (same source).
pub(super) fn mass(beam: &BeamProperties, l: f64) -> Four {
    let phi = shear_parameter(beam, l);
    let sideways = sideways_mass(phi, l);
    let turning = turning_mass(phi, l);
    let share = (1.0 + phi).powi(2);
    let (a, b) = (beam.kilograms_per_metre * l / share, beam.rotary_inertia / (l * share));
    std::array::from_fn(|i| std::array::from_fn(|j| a * sideways[i][j] + b * turning[i][j]))
}

fn shear_parameter(beam: &BeamProperties, l: f64) -> f64 {
    12.0 * beam.bending_stiffness * beam.shear_flexibility / (l * l)
}

fn sideways_mass(phi: f64, l: f64) -> Four {
    let m1 = 13.0 / 35.0 + 7.0 * phi / 10.0 + phi * phi / 3.0;
    let m2 = (11.0 / 210.0 + 11.0 * phi / 120.0 + phi * phi / 24.0) * l;
    let m3 = 9.0 / 70.0 + 3.0 * phi / 10.0 + phi * phi / 6.0;
    let m4 = -(13.0 / 420.0 + 3.0 * phi / 40.0 + phi * phi / 24.0) * l;
    let m5 = (1.0 / 105.0 + phi / 60.0 + phi * phi / 120.0) * l * l;
    let m6 = -(1.0 / 140.0 + phi / 60.0 + phi * phi / 120.0) * l * l;
    [[m1, m2, m3, m4], [m2, m5, -m4, m6], [m3, -m4, m1, -m2], [m4, m6, -m2, m5]]
}

fn turning_mass(phi: f64, l: f64) -> Four {
    let m1 = 6.0 / 5.0;
    let m2 = (0.1 - phi / 2.0) * l;
    let m3 = (2.0 / 15.0 + phi / 6.0 + phi * phi / 3.0) * l * l;
    let m4 = (-1.0 / 30.0 - phi / 6.0 + phi * phi / 6.0) * l * l;
    [[m1, m2, -m1, m2], [m2, m3, -m2, m4], [-m1, -m2, m1, -m2], [m2, m4, -m2, m3]]
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEAM: BeamProperties = BeamProperties {
        bending_stiffness: 3.0,
        shear_flexibility: 0.02,
        kilograms_per_metre: 5.0,
        rotary_inertia: 0.1,
    };

    fn times(matrix: &Four, vector: [f64; 4]) -> [f64; 4] {
        std::array::from_fn(|i| (0..4).map(|j| matrix[i][j] * vector[j]).sum())
    }

    #[test]
    fn moving_as_a_whole_costs_no_force_and_meets_the_whole_mass() {
        let l = 0.7;
        for rigid in [[1.0, 0.0, 1.0, 0.0], [0.0, 1.0, l, 1.0]] {
            assert!(times(&stiffness(&BEAM, l), rigid).iter().all(|force| force.abs() < 1e-12));
        }
        let momentum = times(&mass(&BEAM, l), [1.0, 0.0, 1.0, 0.0]);
        assert!((momentum[0] + momentum[2] - 5.0 * l).abs() < 1e-12);
        // Turning about the front end: ρA·l³/3 + ρI·l.
        let turn = [0.0, 1.0, l, 1.0];
        let moment: f64 = times(&mass(&BEAM, l), turn).iter().zip(turn).map(|(m, v)| m * v).sum();
        assert!((moment - (5.0 * l.powi(3) / 3.0 + 0.1 * l)).abs() < 1e-12);
    }

    #[test]
    fn a_cantilever_tip_sags_by_bending_and_shear() {
        // P·l³/3EI + P·l/κGA (Timoshenko, any strength textbook), from the lower right 2 × 2 block.
        let (l, k) = (0.7, stiffness(&BEAM, 0.7));
        let (a, b, d) = (k[2][2], k[2][3], k[3][3]);
        let sag = d / (a * d - b * b);
        let wanted = 0.7_f64.powi(3) / 9.0 + 0.7 * 0.02;
        assert!((sag - wanted).abs() < 1e-12, "{sag} {wanted} {l}");
    }
}
