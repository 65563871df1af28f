//! How long the exactly best choice of weights takes: one plane, 1°, a box of 16 sizes, no-weld sector, widths.

use std::hint::black_box;

use balance_core::correction::weights::{
    Forecasting, LimitedPlace, Placing, PlaneTask, WeightCriterion, WeightTask, plan_weights,
};
use balance_core::quantity::{Angle, Length, Mass, Unbalance, UnbalanceAmount};
use balance_core::shaft::{
    Bar, BarMass, CorrectionPlane, NoWeld, PlaneId, Section, Sector, StampedWeight, Tube, Weld, WeldOn,
};
use criterion::{Criterion as Bench, criterion_group, criterion_main};

fn mm(value: f64) -> Length {
    Length::from_millimetres(value).expect("a length")
}

/// Sixteen weights from 2.5 to 40 g, 20 mm wide.
fn box_of_sixteen() -> Vec<WeldOn> {
    let weight = |step: u32| {
        let mass = Mass::from_grams(2.5 * f64::from(step)).expect("a mass");
        let mut weight = StampedWeight::new(mass).expect("more than nothing");
        (weight.width, weight.thickness) = (Some(mm(20.0)), Some(mm(3.0)));
        WeldOn::Stamped(weight)
    };
    (1..=16).map(weight).collect()
}

fn bar() -> Vec<WeldOn> {
    let section = Section { along_shaft: mm(25.0), thickness: mm(3.0) };
    vec![WeldOn::Bar(Bar::new(section, mm(8.0), mm(80.0), BarMass::steel()).expect("a bar"))]
}

/// A hundred targets from 2.5 to 40 g at 45.95 mm, spread evenly over amounts and angles (golden angle).
fn tasks(stock: &[WeldOn], criterion: WeightCriterion, most: usize) -> Vec<WeightTask> {
    let angle = |degrees| Angle::from_degrees(degrees).expect("an angle");
    let task = |step: u32| {
        let grams = 2.5 + 37.5 * f64::from(step) / 99.0;
        let amount = UnbalanceAmount::from_gram_millimetres(grams * 45.95).expect("an amount");
        let target = Unbalance::at(amount, angle(137.507_764 * f64::from(step)));
        let plane = PlaneTask { plane: CorrectionPlane::named("front"), target, permissible: None };
        let mut task = WeightTask::new(vec![plane], stock.to_vec());
        task.tube = Some(Tube { outer_diameter: mm(88.9), wall: mm(2.4), length: mm(1385.0) });
        let sector = Sector::new(angle(350.0), angle(20.0)).expect("a sector");
        task.no_weld = vec![NoWeld { plane: PlaneId::new(0), sector, reason: "tube seam".into() }];
        task.weld = Weld::new(Mass::from_grams(1.0).expect("a mass"), most, mm(3.0)).expect("a weld");
        task.settings.criterion = criterion;
        task
    };
    (0..100).map(task).collect()
}

/// The same targets in two planes with a forecast that has to be met: limits of 417 g·mm at both ends, readings known
/// to 20 g·mm.
fn of_two_planes(stock: &[WeldOn]) -> Vec<WeightTask> {
    let one_plane = tasks(stock, WeightCriterion::Robust, 2);
    let limit = UnbalanceAmount::from_gram_millimetres(417.0).expect("an amount");
    let place = |levers: Vec<f64>| LimitedPlace { limit, levers };
    let forecasting = Forecasting {
        places: vec![place(vec![0.93, 0.07]), place(vec![0.07, 0.93])],
        covariance: vec![vec![400.0, 0.0], vec![0.0, 400.0]],
        widening: 1.1,
        placing: vec![Placing { share: 2e-3, each: 84.0 }; 2],
    };
    let task = |(one, other): (&WeightTask, &WeightTask)| {
        let mut task = one.clone();
        task.planes.push(PlaneTask { plane: CorrectionPlane::named("rear"), ..other.planes[0].clone() });
        task.planes.iter_mut().for_each(|plane| plane.permissible = Some(limit));
        task.forecasting = Some(forecasting.clone());
        task
    };
    one_plane.iter().zip(one_plane.iter().skip(1)).map(task).collect()
}

fn choosing(bench: &mut Bench) {
    let (small, cut) = (box_of_sixteen(), bar());
    let settings = [
        ("box of 16, two planes, fewest", of_two_planes(&small)),
        ("box of 16, robust", tasks(&small, WeightCriterion::Robust, 2)),
        ("box of 16, what is left alone", tasks(&small, WeightCriterion::LeftOverAlone, 2)),
        ("bar of 73 lengths, robust", tasks(&cut, WeightCriterion::Robust, 2)),
        ("bar of 73 lengths, what is left alone", tasks(&cut, WeightCriterion::LeftOverAlone, 2)),
    ];
    for (name, tasks) in settings {
        let mut turn = tasks.iter().cycle();
        bench.bench_function(&format!("best of two, {name}"), |timer| {
            timer.iter(|| plan_weights(black_box(turn.next().expect("a cycle never ends"))));
        });
    }
}

criterion_group!(benches, choosing);
criterion_main!(benches);
