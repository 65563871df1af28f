//! `balance-shaft/1`.

use crate::quantity::{Angle, Length, Mass, Speed};
use crate::shaft::{GateOutcome, MatchMark, Weldability};
use serde::Serialize;
use serde_json::{Value, json};

use super::{CautionJson, cautions, line};
use crate::answer::ShaftAnswer;

#[derive(Serialize)]
struct ShaftJson<'a> {
    format: &'static str,
    shaft: &'a str,
    critical_speed_rpm: Option<f64>,
    critical_speed_closed_form_rpm: Option<f64>,
    critical_speed_model_rpm: Option<f64>,
    modes_rpm: Option<Vec<f64>>,
    service_speed_rpm: Option<f64>,
    stand_speed_rpm: Option<f64>,
    ratio_at_service: Option<f64>,
    ratio_at_stand: Option<f64>,
    margin_ratio: f64,
    /// For every stated speed; null without a critical speed or without a speed.
    within_margin: Option<bool>,
    gate: &'static str,
    overridden_by: Option<Value>,
    checks: Vec<Value>,
    highest_safe_speed_rpm: Option<f64>,
    longest_safe_length_mm: Option<f64>,
    longest_safe_length_closed_form_mm: Option<f64>,
    bow_returning_share: Option<f64>,
    mass_kg: Option<f64>,
    mass_basis: Option<&'static str>,
    mass_estimated_kg: Option<f64>,
    mass_centre_mm: Option<f64>,
    material: Value,
    parts: Vec<Value>,
    joints: Option<Value>,
    relength: Option<Value>,
    yoke_changes: Vec<Value>,
    reachable_speed_rpm: Option<f64>,
    runout_within: Option<bool>,
    runout: Option<Value>,
    inspection: Vec<Value>,
    not_inspected: &'a [&'static str],
    match_marks: Vec<Value>,
    limits: Value,
    cautions: Vec<CautionJson>,
}

/// The shaft before it spins, on one line, with the marks from its record.
#[must_use]
pub fn shaft(answer: &ShaftAnswer, marks: &[MatchMark]) -> String {
    let (before, job) = (&answer.before, &answer.job);
    let check = &before.check;
    let critical = check.critical.as_ref();
    let margins = critical.map(|found| [found.service, found.stand]);
    let known = |margins: [Option<_>; 2]| -> Vec<crate::shaft::SpeedMargin> {
        margins.into_iter().flatten().collect()
    };
    let within = margins.map(known).filter(|found| !found.is_empty());
    line(&ShaftJson {
        format: "balance-shaft/1",
        shaft: &answer.shaft,
        critical_speed_rpm: critical.map(|found| found.lowest.rpm()),
        critical_speed_closed_form_rpm: critical.map(|found| found.closed_form.rpm()),
        critical_speed_model_rpm: critical.map(|found| found.model.rpm()),
        modes_rpm: critical.map(|found| found.modes.iter().map(|mode| mode.speed.rpm()).collect()),
        service_speed_rpm: before.description.service_speed.map(Speed::rpm),
        stand_speed_rpm: before.description.stand_speed.map(Speed::rpm),
        ratio_at_service: critical.and_then(|found| Some(found.service?.ratio)),
        ratio_at_stand: critical.and_then(|found| Some(found.stand?.ratio)),
        margin_ratio: check.limits.margin_ratio.value,
        within_margin: within.map(|found| found.iter().all(|margin| margin.within)),
        gate: check.gate.word.word(),
        overridden_by: check
            .gate
            .overridden_by
            .as_ref()
            .map(|found| json!({"name": found.name(), "reason": found.reason()})),
        checks: checks(answer),
        highest_safe_speed_rpm: critical.map(|found| found.highest_safe_speed.rpm()),
        longest_safe_length_mm: answer.longest.map(Length::millimetres),
        longest_safe_length_closed_form_mm: critical
            .and_then(|found| found.longest_safe_length_closed_form)
            .map(Length::millimetres),
        bow_returning_share: check.bow.map(|bow| bow.returning_share),
        mass_kg: check.mass.map(|mass| mass.used.kilograms()),
        mass_basis: check.mass.map(|mass| mass.basis.word()),
        mass_estimated_kg: check.mass.and_then(|mass| mass.estimated).map(Mass::kilograms),
        mass_centre_mm: check.mass.and_then(|mass| mass.mass_centre).map(Length::millimetres),
        material: material(answer),
        parts: parts(answer),
        joints: joints(answer),
        relength: relength(answer),
        yoke_changes: yoke_changes(answer),
        reachable_speed_rpm: job.shaft.reached.map(|reached| reached.speed.rpm()),
        runout_within: check.runout_verdict.as_ref().map(crate::shaft::RunoutVerdict::within),
        runout: runout(answer),
        inspection: inspection(answer),
        not_inspected: &check.not_inspected,
        match_marks: marks.iter().map(|mark| json!({"between": mark.between, "mark": mark.mark})).collect(),
        limits: limits(answer),
        cautions: cautions(job.units, &before.cautions),
    })
}

fn checks(answer: &ShaftAnswer) -> Vec<Value> {
    let word = |outcome| match outcome {
        GateOutcome::Within => "within",
        GateOutcome::NotChecked => "not checked",
        GateOutcome::Warned => "take care",
        GateOutcome::Refused => "refused",
        GateOutcome::RefusedForGood => "refused for good",
    };
    let checks = answer.before.check.gate.checks.iter();
    checks.map(|check| json!({"what": check.what, "outcome": word(check.outcome)})).collect()
}

fn material(answer: &ShaftAnswer) -> Value {
    let material = &answer.before.check.material;
    let weldable = match material.weldability {
        Weldability::Ready => Some("yes"),
        Weldability::ByProcedure => Some("by procedure"),
        Weldability::No => Some("no"),
        Weldability::Unknown => None,
    };
    json!({
        "name": material.name,
        "stated": answer.job.shaft.material.known().is_some(),
        "elastic_modulus_gpa": material.elastic_modulus.megapascals() / 1000.0,
        "density_kg_m3": material.density.kilograms_per_cubic_metre(),
        "weldable": weldable,
        "source": material.source,
    })
}

fn parts(answer: &ShaftAnswer) -> Vec<Value> {
    let critical = answer.before.check.critical.as_ref();
    let one = |part: &crate::shaft::PartCritical| {
        json!({
            "name": part.name,
            "from_mm": part.from.millimetres(),
            "to_mm": part.to.millimetres(),
            "critical_speed_closed_form_rpm": part.closed_form.rpm(),
            "critical_speed_model_rpm": part.model.rpm(),
        })
    };
    critical.iter().flat_map(|found| &found.parts).map(one).collect()
}

fn joint_findings(found: &crate::shaft::JointFindings) -> Value {
    json!({
        "equivalent_angle_deg": found.equivalent_angle.degrees(),
        "output_slowest_rpm": found.output_rpm.0,
        "output_fastest_rpm": found.output_rpm.1,
        "torsional_acceleration_rad_s2": found.torsional_acceleration,
        "inertia_acceleration_drive_rad_s2": found.inertia_acceleration_drive,
        "inertia_acceleration_coast_rad_s2": found.inertia_acceleration_coast,
    })
}

fn joints(answer: &ShaftAnswer) -> Option<Value> {
    let mut found = joint_findings(answer.before.check.joints.as_ref()?);
    let angles = answer.before.description.joints.joints.iter().map(|joint| joint.angle.degrees());
    found["angles_deg"] = angles.collect::<Vec<f64>>().into();
    let tooth_out = answer.work.tooth_out.iter().map(|tooth| {
        let mut value = joint_findings(&tooth.findings);
        value["before_joint"] = tooth.joint.into();
        value["spline_teeth"] = tooth.teeth.into();
        value["phase_error_deg"] = tooth.step_degrees.into();
        value
    });
    found["one_tooth_out"] = tooth_out.collect::<Vec<Value>>().into();
    Some(found)
}

fn relength(answer: &ShaftAnswer) -> Option<Value> {
    let found = answer.work.relength.as_ref()?;
    let own = &found.relength;
    let reserve =
        own.travel.as_ref().zip(own.stroke).map(|(travel, stroke)| travel.reserve_millimetres(&stroke));
    Some(json!({
        "joint_centres_mm": own.cut.joint_centres.millimetres(),
        "tube_cut_mm": own.tube_length.millimetres(),
        "shrink_allowance_mm": own.cut.shrink_allowance.millimetres(),
        "slip_middle_mm": own.stroke.map(|stroke| stroke.middle().millimetres()),
        "slip_needed_mm": own.travel.as_ref().map(crate::shaft::SlipTravel::needed_millimetres),
        "slip_reserve_in_mm": reserve.map(|reserve| reserve.0),
        "slip_reserve_out_mm": reserve.map(|reserve| reserve.1),
        "critical_speed_rpm": found.critical.map(|critical| critical.lowest().rpm()),
    }))
}

fn yoke_changes(answer: &ShaftAnswer) -> Vec<Value> {
    let one = |yoke: &crate::answer::YokeFinding| {
        json!({
            "end": yoke.swap.end,
            "old_series": yoke.swap.old.series,
            "new_series": yoke.swap.new.series,
            "length_change_mm": yoke.swap.change.length_millimetres,
            "mass_change_g": yoke.swap.change.mass_grams,
            "length_mm": yoke.length.map(Length::millimetres),
            "mass_kg": yoke.mass.map(Mass::kilograms),
            "critical_speed_rpm": yoke.critical.map(|critical| critical.lowest().rpm()),
        })
    };
    answer.work.yokes.iter().map(one).collect()
}

fn runout(answer: &ShaftAnswer) -> Option<Value> {
    let check = &answer.before.check;
    let (map, verdict) = check.runout.as_ref().zip(check.runout_verdict.as_ref())?;
    let stations = verdict.stations.iter().zip(&map.stations).map(|(judged, station)| {
        json!({
            "position_mm": judged.position,
            "total_indicator_mm": judged.total_indicator,
            "limit_mm": judged.limit,
            "within": judged.within(),
            "eccentricity_mm": station.eccentricity.norm(),
            "angle_deg": Angle::of(station.eccentricity).degrees_in_turn(),
            "out_of_round_mm": station.out_of_round,
        })
    });
    Some(json!({
        "stations": stations.collect::<Vec<Value>>(),
        "bow_mm": map.bow.map(crate::Complex64::norm),
        "bow_angle_deg": map.bow.map(|bow| Angle::of(bow).degrees_in_turn()),
        "explained_front_g_mm": verdict.explained.map(|explained| explained.front.gram_millimetres()),
        "explained_rear_g_mm": verdict.explained.map(|explained| explained.rear.gram_millimetres()),
    }))
}

fn inspection(answer: &ShaftAnswer) -> Vec<Value> {
    let one = |item: &crate::shaft::InspectionItem| {
        json!({
            "part": item.part,
            "finding": item.finding,
            "measured": item.measured,
            "limit": item.limit,
            "decision": item.decision.map(crate::shaft::PartDecision::word),
        })
    };
    answer.job.shaft.inspection.iter().map(one).collect()
}

fn limits(answer: &ShaftAnswer) -> Value {
    let listed = answer.before.check.limits.listed();
    let all = listed.map(|(key, unit, limit)| {
        (key.to_owned(), json!({"value": limit.value, "unit": unit, "basis": limit.basis.words()}))
    });
    Value::Object(all.into_iter().collect())
}
