//! The one question and its answer.

use super::{CriticalFinding, MassFinding, ShaftDescription, ShaftFault};
use crate::caution::Caution;
use crate::quantity::Length;
use crate::shaft::{
    BowBetweenSpeeds, Gate, GateQuestion, GateSpeed, JointFindings, Material, PointFor, Purpose, RunoutMap,
    RunoutState, RunoutVerdict, ShaftLimits, check_joints, missing_points, open_gate, runout_map,
};

/// Everything found about a shaft before it spins. What was not checked is `None`, and a caution says so.
#[derive(Debug, Clone, PartialEq)]
pub struct ShaftCheck {
    /// The material used.
    pub material: Material,
    /// The mass used.
    pub mass: Option<MassFinding>,
    /// The critical speeds.
    pub critical: Option<CriticalFinding>,
    /// How a bow behaves between stand speed and service speed.
    pub bow: Option<BowBetweenSpeeds>,
    /// The runout map.
    pub runout: Option<RunoutMap>,
    /// The runout against its limits.
    pub runout_verdict: Option<RunoutVerdict>,
    /// The joints.
    pub joints: Option<JointFindings>,
    /// Points of the ready list that are not yet inspected or decided.
    pub not_inspected: Vec<&'static str>,
    /// Whether it may spin.
    pub gate: Gate,
    /// The limits it was checked against.
    pub limits: ShaftLimits,
    /// What to know and do, worst first.
    pub cautions: Vec<Caution>,
}

/// Checks a shaft before it spins.
///
/// # Errors
///
/// Every [`ShaftFault`] of the description.
///
/// ```
/// use balance_core::quantity::parse;
/// use balance_core::shaft::{GateWord, Material, ShaftDescription, Tube, check_shaft};
/// let tube = Tube { outer_diameter: parse("3.5 in")?, wall: parse("0.083 in")?, length: parse("60 in")? };
/// let shaft = ShaftDescription {
///     service_speed: Some(parse("3000 rpm")?),
///     ..ShaftDescription::plain(tube, Material::named("steel"))
/// };
/// let check = check_shaft(&shaft).expect("the description has no fault");
/// let critical = check.critical.expect("the tube is known");
/// assert!((critical.closed_form.rpm() - 6396.07).abs() < 0.01); // recomputed by hand
/// assert!(critical.model.rpm() < critical.closed_form.rpm());
/// assert_eq!(check.gate.word, GateWord::Warn); // the runout was not measured
/// # Ok::<(), balance_core::quantity::QuantityFault>(())
/// ```
pub fn check_shaft(shaft: &ShaftDescription) -> Result<ShaftCheck, Vec<ShaftFault>> {
    let mut faults = shaft.plain_faults();
    let stretches = match shaft.tube.as_ref().map(|tube| shaft.stretches(tube)).transpose() {
        Ok(stretches) => stretches,
        Err(found) => {
            faults.extend(found);
            None
        }
    };
    let map = shaft.runout_of().unwrap_or_else(|found| {
        faults.extend(found);
        None
    });
    let critical =
        shaft.tube.as_ref().zip(stretches.as_ref()).map(|(tube, s)| shaft.critical_finding(tube, s));
    let critical = critical.transpose().unwrap_or_else(|found| {
        faults.extend(found);
        None
    });
    if !faults.is_empty() {
        return Err(faults);
    }
    let mass = shaft.mass_finding(stretches.as_deref());
    Ok(shaft.answer(mass, critical, map))
}

impl ShaftDescription {
    fn answer(
        &self,
        mass: Option<MassFinding>,
        critical: Option<CriticalFinding>,
        runout: Option<RunoutMap>,
    ) -> ShaftCheck {
        let lowest = critical.as_ref().map(|finding| finding.lowest);
        let tube_mass = mass.and_then(|finding| finding.tube_alone);
        let runout_verdict =
            runout.as_ref().map(|map| map.judge(&self.limits, tube_mass, self.permissible_per_end));
        let bow = self
            .stand_speed
            .zip(self.service_speed)
            .zip(lowest)
            .and_then(|((stand, service), critical)| BowBetweenSpeeds::new(stand, service, critical));
        let gate = open_gate(&GateQuestion {
            speeds: &self.gate_speeds(),
            critical: lowest,
            runout: match &runout_verdict {
                None => RunoutState::NotMeasured,
                Some(verdict) if verdict.within() => RunoutState::Within,
                Some(_) => RunoutState::Beyond,
            },
            limits: &self.limits,
            stand: &self.stand,
            overruling: self.overruling.as_ref(),
        });
        let joints = self.fastest_speed().and_then(|speed| check_joints(&self.joints, speed, &self.limits));
        let mut check = ShaftCheck {
            material: self.material_used(),
            mass,
            critical,
            bow,
            runout,
            runout_verdict,
            joints,
            not_inspected: missing_points(&self.inspection, self.points_for()),
            gate,
            limits: self.limits,
            cautions: Vec::new(),
        };
        check.cautions = self.cautions(&check);
        check
    }

    fn cautions(&self, check: &ShaftCheck) -> Vec<Caution> {
        let mut cautions = check.gate.cautions();
        if self.tube.is_some() && self.material.is_none() {
            cautions.push(Caution::MaterialUnknown);
        }
        if self.service_speed.is_none() {
            cautions.push(Caution::ServiceSpeedNotStated);
        }
        if !self.runout.is_empty() && self.tube.is_none() {
            cautions.push(Caution::RunoutNeedsLength);
        }
        cautions.extend(self.mass_cautions(check.mass.as_ref()));
        cautions.extend(check.critical.iter().flat_map(|finding| self.critical_cautions(finding)));
        cautions.extend(check.bow.iter().flat_map(|bow| bow.cautions(&self.limits)));
        cautions.extend(check.runout_verdict.iter().flat_map(|verdict| verdict.cautions.clone()));
        cautions.extend(check.joints.iter().flat_map(|joints| joints.cautions.clone()));
        if !check.not_inspected.is_empty() {
            let points = check.not_inspected.iter().map(|point| (*point).to_owned()).collect();
            cautions.push(Caution::NotInspected { points });
        }
        // Gate and bow give the same caution.
        let mut said = false;
        cautions.retain(|caution| {
            !matches!(caution, Caution::NotRigidEnough { .. }) || !std::mem::replace(&mut said, true)
        });
        cautions.sort_by_key(Caution::level);
        cautions
    }

    fn gate_speeds(&self) -> Vec<GateSpeed> {
        let service = self.service_speed.map(|speed| GateSpeed { purpose: Purpose::Service, speed });
        let stand = self.stand_speed.map(|speed| GateSpeed { purpose: Purpose::Stand, speed });
        service.into_iter().chain(stand).collect()
    }

    fn points_for(&self) -> PointFor {
        if self.all_inner_joints().is_empty() { PointFor::Every } else { PointFor::WithSteadyBearing }
    }

    fn runout_of(&self) -> Result<Option<RunoutMap>, Vec<ShaftFault>> {
        let Some(tube) = self.tube.as_ref().filter(|_| !self.runout.is_empty()) else { return Ok(None) };
        let map = runout_map(&self.runout, tube.length);
        map.map(Some).map_err(|faults| faults.into_iter().map(ShaftFault::Runout).collect())
    }

    /// Faults that are seen without any calculation.
    fn plain_faults(&self) -> Vec<ShaftFault> {
        let impossible = self.limits.impossible().into_iter();
        let mut faults: Vec<ShaftFault> =
            impossible.map(|(key, found)| ShaftFault::Limit { key, found }).collect();
        for (number, joint) in (1..).zip(&self.joints.joints) {
            let found = joint.angle.degrees();
            if found.abs() >= 45.0 {
                faults.push(ShaftFault::JointAngle { number, found });
            }
        }
        if let Some(tube) = &self.tube {
            faults.extend(self.part_faults(tube));
            let length = tube.length.millimetres();
            let beyond = |centre: &Length| centre.millimetres() > length;
            if let Some(found) = self.mass_centre.filter(beyond).map(Length::millimetres) {
                faults.push(ShaftFault::MassCentre { found, length });
            }
        }
        faults
    }
}
