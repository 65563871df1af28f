//! The beam model converges to the closed formulas, refuses what is not held, and obeys its own laws.
#![expect(clippy::unwrap_used, reason = "a test stops at what it cannot unwrap")]

use balance_core::quantity::{Length, Mass, Stiffness, parse};
use balance_core::shaft::{
    Beam, BeamFault, BeamPiece, BeamProperties, DEFAULT_ELEMENTS, Material, Mesh, PointMass, Restraint,
    RoundSection, Support, bending_modes, pinned_critical_speed,
};

fn mm(value: f64) -> Length {
    Length::from_millimetres(value).unwrap()
}

fn tube() -> RoundSection {
    RoundSection::new(mm(90.0), mm(84.0)).unwrap()
}

fn beam(holds: &[(f64, Restraint)], properties: BeamProperties) -> Beam {
    let support = |&(position, restraint): &(f64, Restraint)| Support { position: mm(position), restraint };
    Beam {
        pieces: vec![BeamPiece { from: mm(0.0), to: mm(1500.0), properties }],
        supports: holds.iter().map(support).collect(),
        ..Beam::default()
    }
}

fn first_rpm(beam: &Beam, elements: usize) -> f64 {
    bending_modes(beam, Mesh { elements }, 1).unwrap()[0].speed.rpm()
}

/// Roots βL of the frequency equations of uniform beams: any vibration textbook, checked with SciPy's brentq.
#[test]
fn doubling_the_elements_cuts_the_error_sixteenfold_until_it_is_gone() {
    let properties = BeamProperties::euler_bernoulli(tube(), &Material::named("steel").unwrap());
    let pinned = pinned_critical_speed(tube(), &Material::named("steel").unwrap(), mm(1500.0)).unwrap().rpm();
    let clamp = |position| (position, Restraint::Clamped);
    let pin = |position| (position, Restraint::Pinned);
    let shapes = [
        ("pinned", vec![pin(0.0), pin(1500.0)], std::f64::consts::PI),
        ("fixed", vec![clamp(0.0), clamp(1500.0)], 4.730_040_744_862_704),
        ("cantilever", vec![clamp(0.0)], 1.875_104_068_711_961_2),
        ("fixed and pinned", vec![clamp(0.0), pin(1500.0)], 3.926_602_312_047_918_5),
    ];
    for (name, holds, root) in shapes {
        let exact = pinned * (root / std::f64::consts::PI).powi(2);
        let beam = beam(&holds, properties);
        let error = |elements| first_rpm(&beam, elements) / exact - 1.0;
        let errors: Vec<f64> = [2, 4, 8].map(error).into();
        println!("{name}: {errors:?}, default {:.2e}", error(DEFAULT_ELEMENTS));
        for pair in errors.windows(2) {
            let order = (pair[0] / pair[1]).log2();
            assert!((3.5..4.6).contains(&order), "{name}: order {order}");
        }
        // Elements that share the beam's energy never come out below the true speed.
        assert!(errors.iter().all(|error| *error > 0.0), "{name}: {errors:?}");
        assert!(error(DEFAULT_ELEMENTS).abs() < 1e-6, "{name}: {}", error(DEFAULT_ELEMENTS));
    }
}

/// Closed-form frequencies of the pinned Timoshenko beam, computed with Python: 7132.784352 rpm for a 4.0 × 0.134 in
/// steel tube of 60 in.
#[test]
fn the_shear_flexible_element_converges_too() {
    let section = RoundSection::new(parse("4 in").unwrap(), parse("3.732 in").unwrap()).unwrap();
    let properties = BeamProperties::timoshenko(section, &Material::named("steel").unwrap());
    let beam = Beam::pinned(parse("60 in").unwrap(), properties);
    let errors = [4, 8, 16, 32, 64].map(|elements| first_rpm(&beam, elements) / 7_132.784_352_1 - 1.0);
    println!("{errors:?}");
    for pair in errors.windows(2) {
        assert!(pair[1] > 0.0 && pair[0] / pair[1] > 3.5, "{errors:?}");
    }
    assert!(errors[4] < 1e-5, "{errors:?}");
}

#[test]
fn a_beam_turned_end_for_end_has_the_same_speeds() {
    let steel = Material::named("steel").unwrap();
    let stub = RoundSection::new(mm(45.0), mm(0.0)).unwrap();
    let build = |pieces: [(f64, f64, RoundSection); 3], mass: f64, spring: f64, hinge: f64| Beam {
        pieces: pieces
            .map(|(from, to, section)| BeamPiece {
                from: mm(from),
                to: mm(to),
                properties: BeamProperties::timoshenko(section, &steel),
            })
            .into(),
        masses: vec![PointMass {
            position: mm(mass),
            mass: Mass::from_grams(1800.0).unwrap(),
            rotary_inertia: 0.004,
        }],
        supports: vec![
            Support { position: mm(0.0), restraint: Restraint::Pinned },
            Support { position: mm(1600.0), restraint: Restraint::Pinned },
            Support {
                position: mm(spring),
                restraint: Restraint::Elastic(Stiffness::from_newtons_per_millimetre(900.0).unwrap()),
            },
        ],
        hinges: vec![mm(hinge)],
    };
    let one =
        build([(0.0, 700.0, tube()), (700.0, 820.0, stub), (820.0, 1600.0, tube())], 300.0, 760.0, 820.0);
    let other =
        build([(0.0, 780.0, tube()), (780.0, 900.0, stub), (900.0, 1600.0, tube())], 1300.0, 840.0, 780.0);
    let speeds = |beam: &Beam| bending_modes(beam, Mesh::default(), 3).unwrap();
    for (a, b) in speeds(&one).iter().zip(&speeds(&other)) {
        assert!((a.speed.rpm() / b.speed.rpm() - 1.0).abs() < 1e-7, "{} {}", a.speed.rpm(), b.speed.rpm());
        assert!((a.support_share - b.support_share).abs() < 1e-6);
    }
}

#[test]
fn a_heavier_mass_lowers_and_a_stiffer_bearing_lifts_the_first_speed() {
    let properties = BeamProperties::timoshenko(tube(), &Material::named("steel").unwrap());
    let mut last = f64::INFINITY;
    for grams in [0.0, 500.0, 2000.0, 8000.0] {
        let mut beam = Beam::pinned(mm(1500.0), properties);
        beam.masses = vec![PointMass {
            position: mm(600.0),
            mass: Mass::from_grams(grams).unwrap(),
            rotary_inertia: 0.0,
        }];
        let rpm = first_rpm(&beam, 32);
        assert!(rpm < last, "{grams} g: {rpm}");
        last = rpm;
    }
    let mut last = 0.0;
    for stiffness in [1.0, 10.0, 100.0, 1000.0] {
        let spring = Restraint::Elastic(Stiffness::from_newtons_per_millimetre(stiffness).unwrap());
        let rpm = first_rpm(
            &beam(&[(0.0, Restraint::Pinned), (1500.0, Restraint::Pinned), (600.0, spring)], properties),
            32,
        );
        assert!(rpm > last, "{stiffness} N/mm: {rpm}");
        last = rpm;
    }
}

/// A stiff tube between soft springs is a weight on springs: ω² = k/(m/2) for two springs k (statics).
#[test]
fn a_shaft_on_soft_bearings_rides_on_them() {
    let steel = Material::named("steel").unwrap();
    let spring = Restraint::Elastic(Stiffness::from_newtons_per_millimetre(5.0).unwrap());
    let beam = beam(&[(0.0, spring), (1500.0, spring)], BeamProperties::timoshenko(tube(), &steel));
    let mode = bending_modes(&beam, Mesh::default(), 1).unwrap().remove(0);
    let mass = tube().kilograms_per_metre(&steel) * 1.5;
    let wanted = (2.0 * 5000.0 / mass).sqrt() * 30.0 / std::f64::consts::PI;
    assert!((mode.speed.rpm() / wanted - 1.0).abs() < 2e-3, "{} {wanted}", mode.speed.rpm());
    assert!(mode.support_share > 0.99, "{}", mode.support_share);
}

#[test]
fn what_is_not_held_or_makes_no_sense_is_named() {
    let properties = BeamProperties::timoshenko(tube(), &Material::named("steel").unwrap());
    let pins = [(0.0, Restraint::Pinned), (1500.0, Restraint::Pinned)];
    let fault = |beam: &Beam| bending_modes(beam, Mesh::default(), 1).unwrap_err();
    assert_eq!(fault(&Beam::default()), vec![BeamFault::NoPiece]);
    assert_eq!(fault(&beam(&[], properties)), vec![BeamFault::NotHeld]);
    assert_eq!(fault(&beam(&pins[..1], properties)), vec![BeamFault::NotHeld]);
    let mut folding = beam(&pins, properties);
    folding.hinges = vec![mm(700.0)];
    assert_eq!(fault(&folding), vec![BeamFault::NotHeld]);
    let mut many = beam(&pins, properties);
    many.masses =
        vec![PointMass { position: mm(1600.0), mass: Mass::from_grams(1.0).unwrap(), rotary_inertia: 0.0 }];
    many.hinges = vec![mm(0.0)];
    many.pieces.push(BeamPiece { from: mm(1500.0), to: mm(1500.0), properties });
    let faults = fault(&many);
    assert!(faults.iter().any(|fault| matches!(fault, BeamFault::NoLength { .. })), "{faults:?}");
    assert!(
        faults.iter().any(|fault| matches!(fault, BeamFault::Outside { what: "mass", .. })),
        "{faults:?}"
    );
    assert!(faults.iter().any(|fault| matches!(fault, BeamFault::Hinge { .. })), "{faults:?}");
    let massless = BeamProperties { kilograms_per_metre: 0.0, rotary_inertia: 0.0, ..properties };
    assert_eq!(fault(&beam(&pins, massless)), vec![BeamFault::NoMass]);
}
