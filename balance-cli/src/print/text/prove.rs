//! What a test of the stand showed, in words.

use balance_core::quantity::{Speed, UnbalanceAmount, Units};
use balance_core::stand::{
    IndexTest, LIMIT_LINES, LeastUnbalanceTest, MovedMass, ReductionTest, Repeats, lightest_shafts,
};

use super::units;
use crate::page::Page;

fn headline(page: Page, test: &str, passed: bool) -> String {
    format!("{test}: {}\n", page.bold(if passed { "PASSED" } else { "NOT PASSED" }))
}

/// The test of the least unbalance, plane by plane.
#[must_use]
pub fn least_unbalance(page: Page, shop: Units, planes: &[(String, LeastUnbalanceTest)]) -> String {
    let passed = planes.iter().all(|(_, test)| test.passed());
    let mut text = headline(page, "Least unbalance the stand can reach (U_mar)", passed);
    for (name, test) in planes {
        text.push_str(&page.wrapped(&format!("  {name}  "), "      ", &of_plane(shop, test)));
    }
    text
}

fn of_plane(shop: Units, test: &LeastUnbalanceTest) -> String {
    let amount = |own: UnbalanceAmount| units::unbalance(shop, own.gram_millimetres());
    let shares = || test.points.iter().map(|point| point.share);
    let outside = test.points.iter().filter(|point| !point.within()).count();
    let verdict = match outside {
        0 => String::new(),
        1 => ", one of them outside".into(),
        more => format!(", {more} of them outside"),
    };
    let left = test.left.map_or_else(String::new, |left| {
        format!(" About {} is left in the test shaft itself.", units::unbalance(shop, left))
    });
    format!(
        "{} at {} places: readings {:.2} to {:.2} of their mean (allowed {:.2} to {:.2}){verdict}. Claimed: {}; \
         these readings would support {}.{left}",
        amount(test.test_mass),
        test.points.len(),
        shares().fold(f64::INFINITY, f64::min),
        shares().fold(0.0, f64::max),
        LIMIT_LINES[0],
        LIMIT_LINES[1],
        amount(test.claimed),
        amount(test.reached),
    )
}

/// Which limits, grades and shafts a stand may certify that reaches this.
#[must_use]
pub fn may_certify(page: Page, shop: Units, reached: UnbalanceAmount, speed: Option<Speed>) -> String {
    let mut text = page.wrapped(
        "",
        "  ",
        &format!(
            "From now on this stand may certify limits of {} and more at each place.",
            units::unbalance(shop, reached.gram_millimetres())
        ),
    );
    let Some(speed) = speed else { return text };
    let grades: Vec<String> = lightest_shafts(reached, speed)
        .into_iter()
        .map(|(grade, mass)| format!("G{grade} from {}", units::kilograms(shop, mass)))
        .collect();
    text.push_str(&page.wrapped(
        "",
        "  ",
        &format!(
            "At {:.0} rpm in service, with half the limit at each end: {}.",
            speed.rpm(),
            grades.join(", ")
        ),
    ));
    text
}

/// The test of the reduction ratio, plane by plane.
#[must_use]
pub fn reduction(page: Page, ratio: f64, planes: &[(String, ReductionTest)]) -> String {
    let passed = planes.iter().all(|(_, test)| test.passed(ratio));
    let mut text =
        headline(page, &format!("Unbalance reduction ratio (URR) of {:.0} %", 100.0 * ratio), passed);
    for (name, test) in planes {
        let outside = test.points.iter().filter(|point| point.left() > 1.0 - ratio).count();
        let scale = if test.own_scale {
            " The stand shows no unbalance: its scale was found from the test itself."
        } else {
            ""
        };
        let words = format!(
            "{} runs, {outside} outside the limit circle; the worst would leave {:.1} % of what was on, a ratio of \
             {:.1} %.{scale}",
            test.points.len(),
            100.0 * (1.0 - test.reached),
            100.0 * test.reached,
        );
        text.push_str(&page.wrapped(&format!("  {name}  "), "      ", &words));
    }
    text
}

/// The index test, plane by plane, in g·mm.
#[must_use]
pub fn index(page: Page, shop: Units, planes: &[(String, IndexTest)]) -> String {
    let mut text = format!("{}\n", page.bold("Index test: what turns with the fixture, and with the shaft"));
    for (name, test) in planes {
        let vector = |own: balance_core::Complex64| {
            let degrees = own.arg().to_degrees().rem_euclid(360.0).round() % 360.0;
            format!("{} at {degrees:.0} deg", units::unbalance(shop, own.norm()))
        };
        let sure = test.give_or_take.map_or_else(
            || " Two positions do not check themselves: read a third.".to_owned(),
            |give| {
                let scatter = test.mounting_scatter().unwrap_or(0.0);
                format!(
                    " Give or take {}; re-clamping and reading scatter by {}.",
                    units::unbalance(shop, give),
                    units::unbalance(shop, scatter)
                )
            },
        );
        let words = format!(
            "fixture {} from its mark, shaft {} from its mark, from {} positions.{sure}",
            vector(test.fixture),
            vector(test.shaft),
            test.positions
        );
        text.push_str(&page.wrapped(&format!("  {name}  "), "      ", &words));
    }
    text
}

/// What is left by moving one known mass round, plane by plane.
#[must_use]
pub fn moved_mass(page: Page, shop: Units, planes: &[(String, MovedMass)]) -> String {
    let mut text = format!("{}\n", page.bold("What is left, by moving one known mass round"));
    for (name, found) in planes {
        let one = |own: &balance_core::stand::LeftByMovedMass| {
            let degrees = own.left.arg().to_degrees().rem_euclid(360.0).round() % 360.0;
            let give = own
                .give_or_take
                .map_or_else(String::new, |give| format!(", give or take {}", units::unbalance(shop, give)));
            format!("{} at {degrees:.0} deg{give}", units::unbalance(shop, own.left.norm()))
        };
        let all: Vec<String> = found.possible.iter().map(one).collect();
        let which = if all.len() > 1 {
            " (amplitudes alone cannot tell which: read the shaft without the mass too)"
        } else {
            ""
        };
        let shortcut = found.shortcut.map_or_else(String::new, |own| {
            format!(
                " The usual shortcut from largest and smallest reading would say {}.",
                units::unbalance(shop, own)
            )
        });
        let words = format!("{}{which}.{shortcut}", all.join(", or "));
        text.push_str(&page.wrapped(&format!("  {name}  "), "      ", &words));
    }
    text
}

/// How far repeats scatter at each sensor, and how far they drift in each plane.
#[must_use]
pub fn repeats(
    page: Page,
    shop: Units,
    sensors: &[(String, Repeats)],
    planes: &[(String, Repeats)],
) -> String {
    let mut text = format!("{}\n", page.bold("Noise and drift, from repeats"));
    for (name, own) in sensors {
        let noise = own.noise().map_or_else(
            || "nothing was read".to_owned(),
            |noise| format!("{} readings scatter by {:.2} % (complex rms)", own.count, 100.0 * noise),
        );
        text.push_str(&page.wrapped(&format!("  {name}  "), "      ", &noise));
    }
    for (name, own) in planes {
        let drift = units::unbalance(shop, own.drift_per_hour.norm());
        let give = units::unbalance(shop, own.drift_give_or_take);
        let chance = if own.drifts() { "" } else { ", no more than chance" };
        let words = format!("drift {drift} in an hour, give or take {give}{chance}");
        text.push_str(&page.wrapped(&format!("  {name}  "), "      ", &words));
    }
    if planes.is_empty() {
        let words = "The drift is not kept: without a trial at each place readings are no unbalance.";
        text.push_str(&page.wrapped("  ", "      ", words));
    }
    text
}

/// What one correction of a job did in one plane, g·mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Once {
    /// The plane.
    pub plane: String,
    /// The unbalance as found.
    pub before: f64,
    /// The unbalance after the last check run.
    pub after: f64,
    /// The share that was taken away; `None`: there was nothing.
    pub ratio: Option<f64>,
}

/// The ratio that one correction reached, plane by plane.
#[must_use]
pub fn reduction_once(page: Page, shop: Units, planes: &[Once]) -> String {
    let mut text = format!("{}\n", page.bold("What the corrections of this job took away"));
    for own in planes {
        let ratio = own.ratio.map_or_else(
            || "there was nothing to take away".to_owned(),
            |ratio| format!("a ratio of {:.1} %", 100.0 * ratio),
        );
        let words = format!(
            "{} as found, {} after the last check run: {ratio}.",
            units::unbalance(shop, own.before),
            units::unbalance(shop, own.after)
        );
        text.push_str(&page.wrapped(&format!("  {}  ", own.plane), "      ", &words));
    }
    text.push_str(&page.wrapped(
        "  ",
        "  ",
        "Masses and places of the weights are in it too: this is no proof of the stand, but a low one is a reason for it.",
    ));
    text
}

/// The steps of the dials that the readings show.
#[must_use]
pub fn steps(page: Page, steps: &[String]) -> String {
    if steps.is_empty() {
        return String::new();
    }
    page.wrapped("  ", "      ", &format!("The dials show steps of {}.", steps.join(" and ")))
}

/// How much of a plane's unbalance shows at the other end.
#[derive(Debug, Clone, PartialEq)]
pub struct Crosstalk {
    /// The plane of the trial mass.
    pub plane: String,
    /// The sensor of the other plane.
    pub sensor: String,
    /// The largest share.
    pub share: f64,
    /// How many trials.
    pub trials: usize,
}

/// How much of one end shows at the other.
#[must_use]
pub fn crosstalk(page: Page, pairs: &[Crosstalk]) -> String {
    let mut text = format!("{}\n", page.bold("How much of one end shows at the other"));
    for own in pairs {
        let trials = if own.trials == 1 { "trial" } else { "trials" };
        let words = format!(
            "of a mass there the sensor {} shows {:.1} % at most, from {} {trials}.",
            own.sensor,
            100.0 * own.share,
            own.trials
        );
        text.push_str(&page.wrapped(&format!("  {}  ", own.plane), "      ", &words));
    }
    text
}
