//! The box of weights, the weld, and where on the tube weights may go, may not go, and already are.

use balance_core::job::WeldPlan;
use balance_core::quantity::{Angle, Density, Length, Mass, parse};
use balance_core::shaft::{
    Aim, Bar, BarMass, FixedPlace, HowHeld, NoWeld, PlaneId, Section as BarSection, Sector, StampedWeight,
    StockFault, Weld, WeldOn, WeldedBefore,
};

use crate::files::problem::Fault;
use crate::files::toml_reader::{Document, Given, Section};

/// `[weld]`, `[[no_weld]]`, `[[fixed_place]]` and `[[welded]]`, beside the box.
pub(super) fn read_weld_plan(
    document: &Document<'_>,
    weights: Vec<WeldOn>,
    planes: &[String],
    once_round: Option<f64>,
) -> WeldPlan {
    let zones = document.sections("no_weld");
    let places = document.sections("fixed_place");
    let welded = document.sections("welded");
    let place =
        |(at, section): (usize, &Section<'_, '_>)| read_fixed_place(section, planes, at + 1, once_round);
    WeldPlan {
        weights,
        weld: read_weld(document),
        no_weld: zones.iter().filter_map(|section| read_no_weld(section, planes, once_round)).collect(),
        fixed_places: places.iter().enumerate().filter_map(place).collect(),
        clamp: document.section("clamp").positive::<Mass>("mass"),
        welded: welded.iter().filter_map(|section| read_welded(section, planes, once_round)).collect(),
    }
}

/// `[[weight]]`.
pub(super) fn read_box(document: &Document<'_>) -> Vec<WeldOn> {
    document.sections("weight").iter().filter_map(read_weight).collect()
}

fn read_weight(section: &Section<'_, '_>) -> Option<WeldOn> {
    let stamped = read_stamped(section);
    let bar = read_bar(section);
    match section
        .either(&["mass", "width", "thickness", "count"], &["cut_from", "shortest", "longest", "density"])
    {
        Given::Nothing => {
            section.needed_key("mass");
            None
        }
        Given::First => section.needed("mass", stamped).map(WeldOn::Stamped),
        Given::Second => {
            for key in ["cut_from", "shortest", "longest"] {
                section.needed_key(key);
            }
            bar.map(WeldOn::Bar)
        }
    }
}

fn read_stamped(section: &Section<'_, '_>) -> Option<StampedWeight> {
    let mass = section.positive::<Mass>("mass");
    let width = section.positive::<Length>("width");
    let thickness = section.positive::<Length>("thickness");
    let count = section.count("count").and_then(|count| u32::try_from(count).ok());
    let mut weight = stock(section, "mass", StampedWeight::new(mass?))?;
    (weight.width, weight.thickness, weight.count) = (width, thickness, count);
    Some(weight)
}

fn read_bar(section: &Section<'_, '_>) -> Option<Bar> {
    let cut_from = section.text_read_as(
        "cut_from",
        ("along the shaft x thickness", "\"25 mm x 3 mm\""),
        read_bar_section,
    );
    let shortest = section.positive::<Length>("shortest");
    let longest = section.positive::<Length>("longest");
    let density = section.positive::<Density>("density");
    let mass = density.map_or_else(BarMass::steel, BarMass::Density);
    stock(section, "longest", Bar::new(cut_from?, shortest?, longest?, mass))
}

fn read_bar_section(text: &str) -> Option<BarSection> {
    let (along, thickness) = text.split_once(['x', '×'])?;
    Some(BarSection { along_shaft: parse(along).ok()?, thickness: parse(thickness).ok()? })
}

fn read_weld(document: &Document<'_>) -> Weld {
    let section = document.section("weld");
    let usual = Weld::default();
    let bead = section.quantity::<Mass>("bead_mass").unwrap_or(usual.bead_mass);
    let gap = section.quantity::<Length>("gap").unwrap_or(usual.gap);
    let most = section.count("most_per_plane").unwrap_or_else(|| usual.most_per_plane());
    let aim =
        section.choice("aim", &[("fewest weights", Aim::FewestWeights), ("least left", Aim::LeastLeft)]);
    let mut weld = stock(&section, "most_per_plane", Weld::new(bead, most, gap)).unwrap_or(usual);
    weld.aim = aim.unwrap_or(usual.aim);
    weld
}

fn read_no_weld(section: &Section<'_, '_>, planes: &[String], once_round: Option<f64>) -> Option<NoWeld> {
    let plane = read_plane(section, planes);
    let from = section.needed("from", around(section, "from", once_round));
    let to = section.needed("to", around(section, "to", once_round));
    let reason = section.text("reason").unwrap_or_else(|| "stays free".into());
    let sector = stock(section, "to", Sector::new(from?, to?))?;
    Some(NoWeld { plane: plane?, sector, reason })
}

fn read_fixed_place(
    section: &Section<'_, '_>,
    planes: &[String],
    number: usize,
    once_round: Option<f64>,
) -> Option<FixedPlace> {
    let plane = read_plane(section, planes);
    let angle = section.needed("angle", around(section, "angle", once_round));
    let name = section.text("name").unwrap_or_else(|| format!("place {number}"));
    Some(FixedPlace { plane: plane?, angle: angle?, name })
}

fn read_welded(
    section: &Section<'_, '_>,
    planes: &[String],
    once_round: Option<f64>,
) -> Option<WeldedBefore> {
    let plane = read_plane(section, planes);
    let mass = section.needed("mass", section.positive::<Mass>("mass"));
    let angle = section.needed("angle", around(section, "angle", once_round));
    let bead = section.quantity::<Mass>("bead_mass").unwrap_or(Mass::ZERO);
    let radius = section.positive::<Length>("radius");
    let width = section.positive::<Length>("width");
    let thickness = section.positive::<Length>("thickness");
    let hold = section.choice("hold", &[("can come off", HowHeld::CanComeOff), ("stays", HowHeld::Stays)]);
    let fitted_in = section.text("fitted_in");
    Some(WeldedBefore {
        plane: plane?,
        mass: mass?,
        bead,
        angle: angle?,
        radius,
        width,
        thickness,
        hold: hold.unwrap_or(HowHeld::CanComeOff),
        fitted_in,
    })
}

/// An angle, or a place on the tape round a tube with this circumference in millimetres.
/// A place round the tube, as an angle.
pub(super) fn around(section: &Section<'_, '_>, key: &'static str, once_round: Option<f64>) -> Option<Angle> {
    let around = section.around(key)?;
    let fault = match around.angle(once_round) {
        Ok(angle) => return Some(angle),
        Err(fault) => fault,
    };
    let units = section.units();
    section.fault(key, Fault::new("out-of-range", fault.words(units), fault.allowed(units), fault.hint()));
    None
}

fn read_plane(section: &Section<'_, '_>, planes: &[String]) -> Option<PlaneId> {
    section.needed("plane", section.one_of("plane", "correction plane", planes)).map(PlaneId::new)
}

/// The value, or a note at its key why there is none.
fn stock<T>(section: &Section<'_, '_>, key: &'static str, value: Result<T, StockFault>) -> Option<T> {
    let note = |fault: StockFault| {
        let (allowed, hint) = match &fault {
            StockFault::Zero { .. } => ("above zero".to_owned(), "leave the line out if it is not known"),
            StockFault::ShortestAboveLongest { shortest, .. } => {
                (format!("{} or more", section.entered(*shortest)), "were shortest and longest swapped?")
            }
            StockFault::TooManyLengths { allowed, .. } => (
                format!("{} from shortest to longest", section.entered(f64::from(*allowed))),
                "pieces this long are not used: bring the two values nearer together",
            ),
            StockFault::WeightsPerPlane { allowed, .. } => {
                (format!("1 to {allowed}"), "weights that are already on and stay count too")
            }
            StockFault::EmptySector { .. } => {
                ("two different angles".to_owned(), "all round is from 0 deg to 360 deg")
            }
            _ => ("another value".to_owned(), "change this line, or remove it"),
        };
        let found = match &fault {
            StockFault::ShortestAboveLongest { shortest, longest } => {
                format!(
                    "a shortest piece of {}, a longest of {}",
                    section.entered(*shortest),
                    section.entered(*longest)
                )
            }
            _ => fault.to_string(),
        };
        section.fault(key, Fault::new("not-possible", found, allowed, hint));
    };
    value.map_err(note).ok()
}
