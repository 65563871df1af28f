//! The short answer of `correct`: the state in one line, the weights with their places, where to stop, and
//! what to do next on the last line. Everything else is in the full answer (`--all`) and in the report.

use balance_core::answer::{Advice, Ahead, LeftAfter, Limits};
use balance_core::correction::Forecast;
use balance_core::correction::weights::{PlacedWeight, Source, WeightPlan, WeldingAdvice};
use balance_core::grade::{Decision, PlaneLimit};
use balance_core::quantity::Speed;
use balance_core::run::{MassAngle, RunKind};
use balance_core::shaft::{MassBasis, NoWeld, PlaneId};

use super::correction::{clamp_words, comes_off, ideal_words, trial_off, weight_words, welding_order};
use super::heading::{came_back, plane_place};
use super::masses::Masses;
use super::shaft::not_checked_line;
use super::shortfall::shortfalls;
use super::units;
use super::verdict::headline;
use super::wrap::changing_cautions;
use crate::page::TOGETHER;
use crate::view::{Reader, View};

/// What to do now, on one screen.
#[must_use]
pub fn correction(view: &View<'_>) -> String {
    let page = view.page;
    let mut text = head(view);
    text.push_str(&came_back(view));
    text.push_str(&state(view));
    text.push_str(&not_checked_line(page, view.answer.before_spin.as_deref()));
    text.push('\n');
    text.push_str(&what_to_do(view));
    let (cautions, more) = changing_cautions(view, &view.answer.cautions);
    if !cautions.is_empty() {
        text.push('\n');
        text.push_str(&cautions);
    }
    if let Some(rest) = the_rest(view, more) {
        text.push_str(&page.wrapped("", "  ", &rest));
    }
    if view.reader == Reader::Guided { text } else { text + &next_line(view, &next(view)) }
}

/// Which shaft, and what it has to meet.
pub(super) fn head(view: &View<'_>) -> String {
    let heading = view.file.map(|file| &file.paperwork.heading);
    let words = heading.and_then(|heading| heading.unit.as_deref().or(heading.customer.as_deref()));
    let shaft = view.page.bold(&view.answer.shaft);
    let left = words.map_or_else(|| shaft.clone(), |words| format!("{shaft}{TOGETHER} {words}"));
    let limits = view.answer.limits.as_ref().ok();
    let grade = limits.map(|limits| {
        let own = limits.grade.map_or_else(|| "the shop's own limit".to_owned(), |grade| grade.to_string());
        let estimated = limits.mass.filter(|_| limits.mass_basis == Some(MassBasis::Estimated));
        let mass =
            estimated.map(|mass| format!("{} ESTIMATED", units::kilograms(view.units(), mass.kilograms())));
        let speed = limits.service_speed.map(|speed| format!("up to {:.0} rpm", speed.rpm()));
        std::iter::once(own).chain(mass).chain(speed).collect::<Vec<String>>().join(", ")
    });
    view.page.edges(&left, &grade.unwrap_or_default())
}

/// The last line.
pub(super) fn next_line(view: &View<'_>, words: &str) -> String {
    view.page.wrapped(&format!("{}{TOGETHER} ", view.page.bold("NEXT")), "      ", words)
}

/// What is left and what is allowed, in one line.
fn state(view: &View<'_>) -> String {
    let (Ok(limits), shop) = (&view.answer.limits, view.units()) else {
        return "No limit is known, so this answer has masses but no verdict.\n".into();
    };
    let (word, amounts): (&str, Vec<(f64, Option<f64>)>) = match (&view.answer.judged, &view.answer.left_now)
    {
        (Some(judged), _) => {
            let open = judged.decision == Decision::Undecided;
            let planes = judged.deciding().verdict.planes.iter();
            let amounts = planes
                .map(|plane| (plane.residual.gram_millimetres(), plane.give_or_take().filter(|_| open)));
            (headline(judged.decision), amounts.collect())
        }
        (None, Some(left)) => {
            let allowed = limits.planes.iter().map(|plane| plane.amount.gram_millimetres());
            let over = allowed.zip(left).any(|(allowed, now)| now.norm() > allowed);
            let word = if over {
                headline(Decision::Exceeds)
            } else {
                "SEEMS WITHIN THE LIMIT (only a check run can tell)"
            };
            (word, left.iter().map(|now| (now.norm(), None)).collect())
        }
        (None, None) => return "What is left is not known yet.\n".into(),
    };
    let allowed: Vec<String> = limits
        .planes
        .iter()
        .map(|plane| units::unbalance_number(shop, plane.amount.gram_millimetres()))
        .collect();
    let alike = allowed.iter().all(|own| Some(own) == allowed.first());
    let parts: Vec<String> = limits
        .planes
        .iter()
        .zip(&amounts)
        .zip(&allowed)
        .map(|((plane, (left, give)), allowed)| {
            let give = give.map(|give| format!(", give or take {}", units::unbalance_number(shop, give)));
            let own = if alike { String::new() } else { format!(" (allowed {allowed})") };
            format!(
                "{} {}{}{own}",
                plane.name,
                units::unbalance_number(shop, *left),
                give.unwrap_or_default()
            )
        })
        .collect();
    let each = if parts.len() > 1 { " each" } else { "" };
    let common = allowed.first().filter(|_| alike).map(|own| format!("; allowed {own}{each}"));
    let words = format!(
        "{}{TOGETHER}{TOGETHER} {} {}{}",
        view.page.bold(word),
        parts.join(", "),
        units::unbalance_unit(shop),
        common.unwrap_or_default()
    );
    view.page.wrapped("", "  ", &words)
}

fn what_to_do(view: &View<'_>) -> String {
    let page = view.page;
    match view.answer.advice() {
        Advice::MustNotSpin(refusal) => {
            let words = format!("{} {}", page.bold("MUST NOT SPIN LIKE THIS."), refusal.text(view.units()));
            page.wrapped("", "  ", &words)
        }
        Advice::HeldBack(found) => {
            let lines = found.sentences.iter().map(|line| page.wrapped("  ", "    ", line));
            format!("{}\n{}", page.bold("Weld nothing now."), lines.collect::<String>())
        }
        Advice::OneMoreRun(_) => {
            let off = trial_off(view).map(|off| page.wrapped("", "  ", &off));
            let further = view.answer.checked() && view.reader == Reader::OfACommand;
            let further = further.then(|| {
                let words = "To correct further now instead: balance\u{a0}correct\u{a0}--further";
                page.wrapped("", "  ", words)
            });
            off.into_iter().chain(further).collect()
        }
        Advice::Done(_) => "Done. Leave it.\n".into(),
        Advice::Hold(hold) => Steps { view, masses: Masses::Weights(&hold.plan), ahead: &hold.ahead }.text(),
        Advice::Ideal(ideal) => {
            Steps { view, masses: Masses::Ideal(&ideal.correction), ahead: &ideal.ahead }.text()
        }
        Advice::NothingBetter(found) => {
            let words = if found.plan.good_enough {
                "No weight is needed: as far as is known, little enough is left."
            } else {
                "None of the weights in the box would improve it."
            };
            let lines = shortfalls(view, &found.plan).into_iter().map(|line| page.wrapped("", "  ", &line));
            format!("{words}\n{}", lines.collect::<String>())
        }
    }
}

/// What to do next, in a few words.
fn next(view: &View<'_>) -> String {
    let answer = view.answer;
    if let Some(label) = view.waiting {
        return format!("spin, read, and fill in row {label} of the runs file");
    }
    let off = match answer.runs.rows().last().filter(|_| trial_off(view).is_some()) {
        Some(row) if row.run.kind == RunKind::Tried => "take off what was tried, ",
        Some(_) => "take off the trial, ",
        None => "",
    };
    match answer.advice() {
        Advice::MustNotSpin(refusal) => refusal.hint().to_owned(),
        Advice::HeldBack(_) => "find the cause first: balance\u{a0}explain".to_owned(),
        Advice::OneMoreRun(found) => {
            let sentence = found.next.sentence();
            if off.is_empty() {
                lower_first(&sentence)
            } else {
                format!("{off}then {}", lower_first(&sentence))
            }
        }
        Advice::Done(_) => "weld nothing more; write the record: balance\u{a0}report".to_owned(),
        Advice::Hold(hold)
            if TriedOut::of(view, &hold.plan, &hold.ahead).is_some_and(|own| own.too_much()) =>
        {
            "ask about other weights, or leave out --with for the program's own choice".to_owned()
        }
        Advice::Hold(_) => format!("{off}clamp these weights, spin, read"),
        Advice::Ideal(_) => format!("{off}clamp these masses, spin, read"),
        Advice::NothingBetter(found) if found.plan.good_enough => {
            format!("{off}read a check run: only it gives a verdict")
        }
        Advice::NothingBetter(_) => {
            "get what would help, add it to the job file, then balance\u{a0}correct".to_owned()
        }
    }
}

/// "Read the check run" as the rest of a line; names and words in capitals stay.
fn lower_first(sentence: &str) -> String {
    let starts_a_sentence =
        ["Read ", "Clamp ", "The ", "Make ", "No "].iter().any(|word| sentence.starts_with(word));
    let mut letters = sentence.chars();
    match letters.next() {
        Some(first) if starts_a_sentence => first.to_lowercase().chain(letters).collect(),
        _ => sentence.to_owned(),
    }
}

/// What else the full answer contains.
fn the_rest(view: &View<'_>, cautions: usize) -> Option<String> {
    let forecast =
        matches!(view.answer.advice(), Advice::Hold(_) | Advice::Ideal(_)).then_some("the forecast");
    let more = match cautions {
        0 => None,
        1 => Some("1 more caution".to_owned()),
        more => Some(format!("{more} more cautions")),
    };
    let parts: Vec<String> = forecast.map(str::to_owned).into_iter().chain(more).collect();
    (!parts.is_empty()).then(|| format!("{}: {}.", view.ask_for_all(), parts.join(" and ")))
}

/// What to do at the stand, step by step.
struct Steps<'a> {
    view: &'a View<'a>,
    masses: Masses<'a>,
    ahead: &'a Ahead,
}

impl Steps<'_> {
    fn text(&self) -> String {
        let mut steps = vec![self.hold()];
        let off = self.off();
        if !off.is_empty() {
            steps.insert(0, off);
        }
        steps.extend(self.view.answer.runs.groups().iter().enumerate().map(|(group, own)| {
            let speed = own
                .speed
                .map_or_else(|| "the same speed".to_owned(), |own| format!("{:.0} rpm", Speed::rpm(own)));
            self.spin(group, &speed)
        }));
        steps.extend(self.weld());
        steps.iter().enumerate().map(|(at, lines)| self.numbered(at + 1, lines)).collect()
    }

    /// A step's lines under its number; a line that begins with spaces is indented as much.
    fn numbered(&self, number: usize, lines: &[String]) -> String {
        let step = |(at, line): (usize, &String)| {
            let set_in = line.len() - line.trim_start().len();
            let rest = " ".repeat(3 + set_in);
            let first = if at == 0 { format!("{number:<3}") } else { rest.clone() };
            self.view.page.wrapped(&first, &rest, line)
        };
        lines.iter().enumerate().map(step).collect()
    }

    fn lock_out(&self) -> String {
        self.view.page.bold("Lock out.")
    }

    /// What comes off first: the masses of a last trial or try, and welded weights that give way.
    fn off(&self) -> Vec<String> {
        let mut lines: Vec<String> = trial_off(self.view).into_iter().collect();
        if let Masses::Weights(plan) = self.masses {
            for (plane, plan) in PlaneId::numbered(&plan.planes) {
                lines.extend(plan.come_off.iter().filter_map(|off| comes_off(self.view, plane, off)));
            }
        }
        let Some(first) = lines.first_mut() else { return lines };
        let plain = first.strip_prefix("Lock out. ").unwrap_or(first);
        *first = format!("{} {plain}", self.lock_out());
        lines
    }

    /// What goes on, and where.
    fn hold(&self) -> Vec<String> {
        let view = self.view;
        let lock = if self.off().is_empty() { format!("{} ", self.lock_out()) } else { String::new() };
        let mut lines = vec![format!("{lock}{}", self.hold_words())];
        match self.masses {
            Masses::Weights(plan) => {
                for (at, own) in PlaneId::numbered(&plan.planes).filter(|(_, own)| !own.weights.is_empty()) {
                    lines.push(format!("  {}", plane_place(view, at)));
                    lines.extend(own.weights.iter().map(|weight| format!("     {}", self.weight(weight))));
                }
                let last = [free_zones(view, &view.answer.job.weld_plan.no_weld), pull(view, plan)].concat();
                lines.extend((!last.is_empty()).then(|| last.join(" ")));
                lines.extend(shortfalls(view, plan));
                lines.extend(self.tried_out().map(|tried| tried.words(view)));
            }
            Masses::Ideal(correction) => {
                for (at, ideal) in PlaneId::numbered(&correction.planes) {
                    let words = ideal_words(view, at, ideal);
                    lines.push(format!("  {}{TOGETHER} {}", plane_place(view, at), words));
                    lines.extend(clamp_words(view, at, ideal).map(|words| format!("     {words}")));
                }
            }
        }
        lines
    }

    fn hold_words(&self) -> String {
        let none = matches!(self.masses, Masses::Weights(plan) if plan.planes.iter().all(|own| own.weights.is_empty()));
        if none {
            return "No new weight goes on.".to_owned();
        }
        let convention = &self.view.answer.runs.setup().convention;
        let way = match convention.mass_angle {
            MassAngle::AgainstRotation => "against rotation",
            MassAngle::WithRotation => "with rotation",
        };
        let mark = convention.zero_mark.as_deref().unwrap_or("zero mark");
        let tube = self.view.answer.job.measures.tube.as_ref();
        let counted = match tube {
            Some(tube) => {
                let round = units::length(self.view.units(), tube.circumference_millimetres());
                let way = if convention.stated { format!(", {way} from the {mark}") } else { String::new() };
                format!(" Tape to the MIDDLE of each{way}; once round is {round}.")
            }
            None if convention.stated => format!(" Degrees run {way} from the {mark}."),
            None => String::new(),
        };
        format!("Hold these under clamps, do not weld yet.{counted}")
    }

    fn weight(&self, weight: &PlacedWeight) -> String {
        let words = weight_words(self.view, weight);
        match words.split_once(" [") {
            Some((found, edges)) => format!("{} [{edges}", self.view.page.bold(found)),
            None => self.view.page.bold(&words),
        }
    }

    /// The spin with the weights under clamps: where to stop, and when to weld.
    fn spin(&self, group: usize, speed: &str) -> Vec<String> {
        let own: Vec<&Forecast> = self.ahead.held.iter().filter(|forecast| forecast.group == group).collect();
        let sensors = &self.view.answer.runs.setup().sensors;
        let now = |forecast: &&Forecast| {
            format!("{} ({})", units::amplitude(forecast.now.amplitude()), sensors[forecast.sensor].name)
        };
        let stop = format!("Stop above {}.", own.iter().map(now).collect::<Vec<String>>().join(" or "));
        let about = |forecast: &&Forecast| units::amplitude(forecast.expected.amplitude());
        let most = |forecast: &&Forecast| {
            Some(units::amplitude(forecast.expected.amplitude() + forecast.needle_circle?))
        };
        let about = own.iter().map(about).collect::<Vec<String>>().join(" and ");
        let most: Option<Vec<String>> = own.iter().map(most).collect();
        let expect = match most {
            _ if self.tried_out().is_some_and(|tried| tried.too_much()) => {
                format!("Expect about {about}. Weld nothing.")
            }
            Some(most) => {
                format!("Expect about {about}. Up to {}: weld. More: weld nothing.", most.join(" and "))
            }
            None => format!("Expect about {about}. Much more: weld nothing."),
        };
        vec![
            format!("Guard shut, nobody in line with the weights. Run up slowly to {speed}."),
            self.view.page.bold(&stop),
            expect,
        ]
    }

    fn tried_out(&self) -> Option<TriedOut<'_>> {
        let Masses::Weights(plan) = self.masses else { return None };
        TriedOut::of(self.view, plan, self.ahead)
    }

    /// The order of welding with the cautions that always apply.
    fn weld(&self) -> Option<Vec<String>> {
        let Masses::Weights(plan) = self.masses else { return None };
        let too_much = self.tried_out().is_some_and(|tried| tried.too_much());
        if too_much || plan.planes.iter().all(|plane| plane.weights.is_empty()) {
            return None;
        }
        let lock = self.lock_out();
        Some(vec![if plan.welding_advice == WeldingAdvice::Withheld {
            format!(
                "{lock} There is no welding advice for a material the program does not know: ask the \
                maker how to fix weights."
            )
        } else {
            format!(
                "{lock} Weld in this order: {}. Return clamp beside the bead, never through a joint. Let it cool, \
                 read the check run.",
                welding_order(self.view, plan)
            )
        }])
    }
}

/// What weights that somebody asked about (`--with`) would leave.
struct TriedOut<'a> {
    /// At each place where the limit holds, in g·mm.
    left: &'a [LeftAfter],
    limits: &'a Limits,
}

impl<'a> TriedOut<'a> {
    /// `None`: the plan is the program's own, or there is no limit to hold it against.
    fn of(view: &View<'a>, plan: &WeightPlan, ahead: &'a Ahead) -> Option<Self> {
        let given =
            plan.planes.iter().flat_map(|plane| &plane.weights).any(|own| own.source == Source::Given);
        let (left, limits) = (ahead.left_after.as_deref()?, view.answer.limits.as_ref().ok()?);
        given.then_some(Self { left, limits })
    }

    fn too_much(&self) -> bool {
        let over = |(left, limit): (&LeftAfter, &PlaneLimit)| left.amount > limit.amount.gram_millimetres();
        self.left.iter().zip(&self.limits.planes).any(over)
    }

    fn words(&self, view: &View<'_>) -> String {
        let units = view.units();
        let number = |amount: f64| units::unbalance_number(units, amount);
        let each = |(left, limit): (&LeftAfter, &PlaneLimit)| {
            let allowed = number(limit.amount.gram_millimetres());
            format!("{} about {} (allowed {allowed})", limit.name, number(left.amount))
        };
        let parts: Vec<String> = self.left.iter().zip(&self.limits.planes).map(each).collect();
        let verdict = if self.too_much() { ": too much." } else { "." };
        let unit = units::unbalance_unit(units);
        view.page.bold(&format!("They would leave {} {unit}{verdict}", parts.join(", ")))
    }
}

/// Where nothing may be welded, each zone once.
fn free_zones(view: &View<'_>, zones: &[NoWeld]) -> Vec<String> {
    let planes = &view.answer.runs.setup().planes;
    let words = |zone: &NoWeld| {
        let (from, to) = (zone.sector.from_degrees() % 360.0, zone.sector.to_degrees() % 360.0);
        format!("{from:.0} to {to:.0} deg ({})", zone.reason)
    };
    let mut found: Vec<(String, Vec<&str>)> = Vec::new();
    for zone in zones {
        let plane = planes.get(zone.plane.index()).map_or("", |plane| plane.name.as_str());
        match found.iter_mut().find(|(own, _)| *own == words(zone)) {
            Some((_, at)) => at.push(plane),
            None => found.push((words(zone), vec![plane])),
        }
    }
    let every = |at: &[&str]| at.len() == planes.len();
    let parts: Vec<String> = found
        .iter()
        .map(|(words, at)| if every(at) { words.clone() } else { format!("{} {words}", at.join(" and ")) })
        .collect();
    if parts.is_empty() { Vec::new() } else { vec![format!("Keep off {}.", parts.join("; "))] }
}

/// How hard the heaviest weight pulls in use.
fn pull(view: &View<'_>, plan: &WeightPlan) -> Vec<String> {
    let pulls = plan.planes.iter().flat_map(|plane| &plane.weights).filter_map(|weight| weight.pull_newtons);
    let most = pulls.fold(0.0, f64::max);
    if most > 0.0 {
        vec![format!("Each pulls with up to {}.", units::force(view.units(), most))]
    } else {
        Vec::new()
    }
}
