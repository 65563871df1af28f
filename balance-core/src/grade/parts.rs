//! The limit in each tolerance plane, for shafts of one piece and of several.

use crate::quantity::{Length, Mass, Speed, UnbalanceAmount};
use crate::shaft::{Part, TolerancePlane};

use super::{Grade, GradeFault, shares};

/// Positions nearer than this are one place: rounding of unit conversions, far finer than any tape.
const SAME_PLACE_MILLIMETRES: f64 = 1e-6;

/// What the shaft has to meet.
#[derive(Debug, Clone, Copy, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Criterion {
    /// A balance quality grade, at the highest service speed.
    Grade(Grade),
    /// The shop's own limit for each tolerance plane.
    OwnLimit(UnbalanceAmount),
}

/// Everything a limit depends on.
#[derive(Debug, Clone, Copy)]
pub struct Rated<'a> {
    /// What it has to meet.
    pub criterion: Criterion,
    /// Mass of the whole shaft; not needed with the shop's own limit or with parts.
    pub mass: Option<Mass>,
    /// Where its mass centre lies; without it each end has half. Parts have half each.
    pub mass_centre: Option<Length>,
    /// The highest speed it can ever reach; not needed with the shop's own limit.
    pub service_speed: Option<Speed>,
    /// Where the limit holds.
    pub planes: &'a [TolerancePlane],
    /// The pieces of a shaft of several; empty for one piece.
    pub parts: &'a [Part],
}

/// The limit in one tolerance plane.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaneLimit {
    /// The tolerance plane's name.
    pub name: String,
    /// Its position.
    pub position: Length,
    /// The permissible residual unbalance there.
    pub amount: UnbalanceAmount,
    /// Index of the part whose limit this is, in a shaft of several.
    pub part: Option<usize>,
}

impl PlaneLimit {
    /// The pull in newtons of all that may be left there, at this speed.
    #[must_use]
    pub fn pull_newtons(&self, speed: Speed) -> f64 {
        super::centrifugal_newtons(self.amount, speed)
    }
}

/// Why there is no limit.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LimitFault {
    /// A grade needs the mass.
    #[error("the shaft's mass is not given")]
    MassNotGiven,
    /// A grade needs the service speed.
    #[error("the service speed is not given")]
    SpeedNotGiven,
    /// The grade gives no limit for these.
    #[error(transparent)]
    Grade(#[from] GradeFault),
    /// There is no place where the limit holds.
    #[error("there is no tolerance plane")]
    NoTolerancePlane,
    /// Two tolerance planes at one place.
    #[error("two tolerance planes are at the same place")]
    SamePosition {
        /// Where, in mm.
        millimetres: f64,
    },
    /// A grade is shared between one or two planes of one piece.
    #[error(
        "{found} tolerance planes on one piece: a grade is shared between one or two; name the parts of the shaft"
    )]
    TooManyPlanes {
        /// How many there are.
        found: usize,
    },
    /// A part without its own one or two tolerance planes.
    #[error("part `{part}` has {found} tolerance planes between its ends, allowed are one or two")]
    PlanesOfPart {
        /// The part's name.
        part: String,
        /// How many there are.
        found: usize,
    },
    /// A tolerance plane that no part reaches.
    #[error("tolerance plane `{plane}` lies in none of the parts")]
    PlaneInNoPart {
        /// The plane's name.
        plane: String,
    },
}

impl Rated<'_> {
    /// The limit in each tolerance plane.
    ///
    /// # Method
    ///
    /// One piece: the grade's permissible residual, shared by [`shares`]. Parts: each part's own mass, shared
    /// between the tolerance planes at or between its ends; where two parts share a plane (a steady bearing)
    /// the smaller limit holds for the vector sum of both. The shop's own limit holds in every plane as it
    /// is.
    ///
    /// # Errors
    ///
    /// Every [`LimitFault`] found.
    pub fn permissible(&self) -> Result<Vec<PlaneLimit>, Vec<LimitFault>> {
        if self.planes.is_empty() {
            return Err(vec![LimitFault::NoTolerancePlane]);
        }
        match self.criterion {
            Criterion::OwnLimit(amount) => {
                Ok(self.planes.iter().map(|plane| limit(plane, amount, None)).collect())
            }
            Criterion::Grade(grade) if self.parts.is_empty() => self.of_one_piece(grade),
            Criterion::Grade(grade) => self.of_parts(grade),
        }
    }

    fn of_one_piece(&self, grade: Grade) -> Result<Vec<PlaneLimit>, Vec<LimitFault>> {
        let positions: Vec<Length> = self.planes.iter().map(|plane| plane.position).collect();
        let mut faults = Vec::new();
        if self.mass.is_none() {
            faults.push(LimitFault::MassNotGiven);
        }
        if self.service_speed.is_none() {
            faults.push(LimitFault::SpeedNotGiven);
        }
        let share = shares(self.mass_centre, &positions).map_err(|fault| faults.push(fault));
        let (Some(mass), Some(speed), Ok(share)) = (self.mass, self.service_speed, share) else {
            return Err(faults);
        };
        let whole = grade.permissible(mass, speed).map_err(|fault| vec![fault.into()])?;
        Ok(self
            .planes
            .iter()
            .zip(share)
            .map(|(plane, share)| limit(plane, part_of(whole, share), None))
            .collect())
    }

    fn of_parts(&self, grade: Grade) -> Result<Vec<PlaneLimit>, Vec<LimitFault>> {
        let mut faults = Vec::new();
        let mut found: Vec<Option<PlaneLimit>> = vec![None; self.planes.len()];
        if self.service_speed.is_none() {
            faults.push(LimitFault::SpeedNotGiven);
        }
        for (index, part) in self.parts.iter().enumerate() {
            match self.of_part(grade, part) {
                Ok(amounts) => {
                    for (plane, amount) in amounts {
                        let smaller = found[plane].as_ref().is_none_or(|earlier| amount < earlier.amount);
                        if smaller {
                            found[plane] = Some(limit(&self.planes[plane], amount, Some(index)));
                        }
                    }
                }
                Err(Some(fault)) => faults.push(fault),
                Err(None) => {}
            }
        }
        let reached: Vec<usize> =
            self.parts.iter().flat_map(|part| planes_of_part(part, self.planes)).collect();
        let unreached = self.planes.iter().enumerate().filter(|(index, _)| !reached.contains(index));
        for (_, plane) in unreached {
            faults.push(LimitFault::PlaneInNoPart { plane: plane.name.clone() });
        }
        if faults.is_empty() { Ok(found.into_iter().flatten().collect()) } else { Err(faults) }
    }

    /// The amounts one part allows in its planes; `Err(None)` if the reason has already been reported.
    fn of_part(
        &self,
        grade: Grade,
        part: &Part,
    ) -> Result<Vec<(usize, UnbalanceAmount)>, Option<LimitFault>> {
        let planes = planes_of_part(part, self.planes);
        if planes.is_empty() || planes.len() > 2 {
            return Err(Some(LimitFault::PlanesOfPart { part: part.name.clone(), found: planes.len() }));
        }
        let positions: Vec<Length> = planes.iter().map(|&plane| self.planes[plane].position).collect();
        let share = shares(None, &positions).map_err(Some)?;
        let speed = self.service_speed.ok_or(None)?;
        let whole = grade.permissible(part.mass, speed).map_err(|fault| Some(fault.into()))?;
        Ok(planes.into_iter().zip(share).map(|(plane, share)| (plane, part_of(whole, share))).collect())
    }
}

/// Which tolerance planes are a part's own, as indices: those at or between its ends; where that is fewer than two, also
/// the nearest beyond each end within a tenth of the part's length, such as a steady bearing a little ahead of the joint.
#[must_use]
pub fn planes_of_part(part: &Part, planes: &[TolerancePlane]) -> Vec<usize> {
    let place = |plane: usize| planes[plane].position.millimetres();
    let within = |reach: f64| -> Vec<usize> {
        (0..planes.len()).filter(|&plane| part.off(place(plane)) <= reach).collect()
    };
    let own = within(SAME_PLACE_MILLIMETRES);
    if own.len() >= 2 {
        return own;
    }
    let near = within(part.reach_millimetres());
    let beyond = |plane: &usize| !own.contains(plane);
    let nearest = |side: fn(&Part, f64) -> bool| {
        let on_side = near.iter().copied().filter(beyond).filter(move |&plane| side(part, place(plane)));
        on_side.min_by(|&one, &other| part.off(place(one)).total_cmp(&part.off(place(other))))
    };
    let mut found = own.clone();
    found.extend(nearest(|part, place| place < part.ends().0));
    found.extend(nearest(|part, place| place > part.ends().1));
    found.sort_unstable();
    found
}

fn limit(plane: &TolerancePlane, amount: UnbalanceAmount, part: Option<usize>) -> PlaneLimit {
    PlaneLimit { name: plane.name.clone(), position: plane.position, amount, part }
}

fn part_of(whole: UnbalanceAmount, share: f64) -> UnbalanceAmount {
    UnbalanceAmount::from_gram_millimetres(whole.gram_millimetres() * share).unwrap_or(whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(millimetres: f64) -> Length {
        Length::from_millimetres(millimetres).unwrap()
    }

    fn planes(positions: &[f64]) -> Vec<TolerancePlane> {
        positions.iter().map(|&mm| TolerancePlane { name: format!("at {mm}"), position: at(mm) }).collect()
    }

    fn part(name: &str, grams: f64, from: f64, to: f64) -> Part {
        Part { name: name.into(), mass: Mass::from_grams(grams).unwrap(), from: at(from), to: at(to) }
    }

    fn rated<'a>(planes: &'a [TolerancePlane], parts: &'a [Part]) -> Rated<'a> {
        Rated {
            criterion: Criterion::Grade("G16".parse().unwrap()),
            mass: None,
            mass_centre: None,
            service_speed: Some(Speed::from_rpm(2600.0).unwrap()),
            planes,
            parts,
        }
    }

    // Recomputed by hand: 9549.2966·16/2600 = 58.7649 g·mm a kg; half of 7.9 kg and of 6.3 kg at each end.
    #[test]
    fn at_a_shared_steady_bearing_the_smaller_limit_holds() {
        let planes = planes(&[0.0, 610.0, 1385.0]);
        let parts = [part("front half", 7900.0, 0.0, 610.0), part("rear half", 6300.0, 610.0, 1385.0)];
        let limits = rated(&planes, &parts).permissible().unwrap();
        let wanted = [(232.121, 0), (185.109, 1), (185.109, 1)];
        for (limit, (amount, part)) in limits.iter().zip(wanted) {
            assert!((limit.amount.gram_millimetres() - amount).abs() < 1e-3, "{limit:?}");
            assert_eq!(limit.part, Some(part));
        }
    }

    #[test]
    fn an_own_limit_holds_in_every_plane_and_needs_nothing_else() {
        let planes = planes(&[0.0, 610.0, 1385.0]);
        let own = UnbalanceAmount::from_gram_millimetres(350.0).unwrap();
        let rated = Rated { criterion: Criterion::OwnLimit(own), service_speed: None, ..rated(&planes, &[]) };
        assert!(rated.permissible().unwrap().iter().all(|limit| limit.amount == own));
    }

    // Found by fuzzing: alone, the first plane is near enough to the part's end, but the other two are the part's own.
    #[test]
    fn a_plane_near_a_part_with_two_planes_of_its_own_is_in_no_part() {
        let planes = planes(&[0.0, 620.0, 700.0]);
        let parts = [part("front half", 6094.0, 21.0, 710.0)];
        let faults = rated(&planes, &parts).permissible().unwrap_err();
        assert_eq!(faults, [LimitFault::PlaneInNoPart { plane: "at 0".into() }]);
    }

    #[test]
    fn every_fault_is_told_at_once() {
        let three = planes(&[0.0, 610.0, 1385.0]);
        let bare = Rated { service_speed: None, ..rated(&three, &[]) };
        let wanted =
            [LimitFault::MassNotGiven, LimitFault::SpeedNotGiven, LimitFault::TooManyPlanes { found: 3 }];
        assert_eq!(bare.permissible().unwrap_err(), wanted);
        let parts = [part("front", 1.0, 100.0, 300.0), part("rear", 0.0, 600.0, 1385.0)];
        let wanted = [
            LimitFault::PlanesOfPart { part: "front".into(), found: 0 },
            LimitFault::Grade(GradeFault::NoMass),
            LimitFault::PlaneInNoPart { plane: "at 0".into() },
        ];
        assert_eq!(rated(&three, &parts).permissible().unwrap_err(), wanted);
        assert_eq!(rated(&[], &[]).permissible().unwrap_err(), [LimitFault::NoTolerancePlane]);
    }
}
