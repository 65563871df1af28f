//! What the records of a type show together, and what to expect of the next shaft.

use std::collections::BTreeMap;

use num_complex::Complex64;

use super::shaft_answers::{Mirror, SensorAnswers, ShaftAnswers, SpeedAnswers, per, same_speed};
use super::{FEWEST_SHAFTS, OwnAnswers, Pool, Prior, SensorPrior, pool};
use crate::quantity::Speed;
use crate::run::RunSet;

/// The point at which a type's response changed.
#[derive(Debug, Clone, PartialEq)]
pub struct TypeWalk {
    /// The first record with the changed response.
    pub record: i64,
    /// When it was made.
    pub made_at: String,
    /// The change as a share of the earlier response.
    pub share: f64,
}

/// The response of one shaft of a type at a sensor, told by its own runs alone.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnResponse {
    /// The shaft's record.
    pub record: i64,
    /// When it was made, RFC 3339.
    pub made_at: String,
    /// The stand's speed.
    pub speed_rpm: Option<f64>,
    /// Reading per unit of unbalance, plane by plane.
    pub coefficients: Vec<Complex64>,
}

/// The mean of the responses of one month.
#[derive(Debug, Clone, PartialEq)]
pub struct MonthlyResponse {
    /// Year and month of the records: `2031-02`.
    pub month: String,
    /// How many shafts.
    pub shafts: usize,
    /// The plain mean of their coefficients, plane by plane.
    pub mean: Vec<Complex64>,
}

/// A type at one sensor.
#[derive(Debug, Clone, PartialEq)]
pub struct TypeSensor {
    /// As the jobs name it.
    pub name: String,
    /// The unit of its amplitude.
    pub unit: String,
    /// How many shafts contribute.
    pub shafts: usize,
    /// Their pooled response; `None`: too few shafts.
    pub pool: Option<Pool>,
    /// The point at which the response changed; `None`: no sign of a change.
    pub walk: Option<TypeWalk>,
    /// The shafts among them whose own runs determine every plane, oldest first.
    pub own: Vec<OwnResponse>,
}

impl TypeSensor {
    /// The shafts whose own runs determine every plane, month by month: every shaft counts alike.
    #[must_use]
    pub fn by_month(&self) -> Vec<MonthlyResponse> {
        let mut months: BTreeMap<&str, Vec<&[Complex64]>> = BTreeMap::new();
        for own in &self.own {
            months.entry(month_of(&own.made_at)).or_default().push(&own.coefficients);
        }
        let mean = |(month, shafts): (&str, Vec<&[Complex64]>)| {
            let planes = 0..shafts.first().map_or(0, |first| first.len());
            let of_plane = |plane: usize| {
                shafts.iter().map(|shaft| shaft[plane]).sum::<Complex64>() / shafts.len() as f64
            };
            MonthlyResponse {
                month: month.into(),
                shafts: shafts.len(),
                mean: planes.map(of_plane).collect(),
            }
        };
        months.into_iter().map(mean).collect()
    }
}

/// Year and month of a time of RFC 3339, as it is written.
#[must_use]
pub fn month_of(time: &str) -> &str {
    time.get(..7).unwrap_or(time)
}

/// A type at one speed.
#[derive(Debug, Clone, PartialEq)]
pub struct TypeSpeed {
    /// The stand's speed.
    pub speed_rpm: Option<f64>,
    /// Sensor by sensor.
    pub sensors: Vec<TypeSensor>,
}

/// A type of shaft: mean response, scatter between shafts, and any change over time.
#[derive(Debug, Clone, PartialEq)]
pub struct TypeReport {
    /// The type's key.
    pub key: String,
    /// How many shafts of it the archive has.
    pub shafts: u64,
    /// Its correction planes.
    pub planes: Vec<String>,
    /// The unit of unbalance, `g.mm` or `g`.
    pub per: String,
    /// Speed by speed.
    pub speeds: Vec<TypeSpeed>,
    /// Records of the type that could not be pooled, and why.
    pub left_out: Vec<(i64, &'static str)>,
}

/// Why a type cannot be used for the next shaft.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum TypeFault {
    /// The archive has too few shafts of this type with a known response.
    #[error(
        "type {key}: {found} shafts with a known response are in the archive, {FEWEST_SHAFTS} are \
            needed"
    )]
    TooFew {
        /// The type.
        key: String,
        /// How many there are.
        found: usize,
    },
    /// The planes, or the unit in which masses are counted, differ.
    #[error("type {key} has weights at {wanted}, this job at {found}")]
    OtherPlanes {
        /// The type.
        key: String,
        /// The type's planes.
        wanted: String,
        /// The job's planes.
        found: String,
    },
    /// No sensor and speed in common.
    #[error("type {key} was read at {wanted}, this job at {found}")]
    NothingInCommon {
        /// The type.
        key: String,
        /// The type's sensors and speeds.
        wanted: String,
        /// The job's sensors and speeds.
        found: String,
    },
}

/// One shaft of a type, as an archive has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Sister {
    /// The record's number.
    pub record: i64,
    /// When it was made.
    pub made_at: String,
    /// How it responded.
    pub answers: ShaftAnswers,
}

impl TypeReport {
    /// Pools responses of shafts of which nothing else is known, oldest first.
    #[must_use]
    pub fn of_answers(key: &str, shafts: &[ShaftAnswers]) -> Self {
        let sister = |(at, answers): (usize, &ShaftAnswers)| Sister {
            record: i64::try_from(at + 1).unwrap_or(i64::MAX),
            made_at: String::new(),
            answers: answers.clone(),
        };
        Self::of(key, shafts.iter().enumerate().map(sister).collect())
    }

    /// Pools the shafts of a type, oldest first. Planes, unit, sensors and speeds are those of its newest
    /// shaft; shafts with different ones are left out.
    #[must_use]
    pub fn of(key: &str, mut shafts: Vec<Sister>) -> Self {
        let mut report = Self {
            key: key.into(),
            shafts: shafts.len() as u64,
            planes: Vec::new(),
            per: String::new(),
            speeds: Vec::new(),
            left_out: Vec::new(),
        };
        let Some(newest) = shafts.last().map(|shaft| shaft.answers.clone()) else { return report };
        shafts.retain(|shaft| {
            let reason = if shaft.answers.planes != newest.planes {
                "other planes"
            } else if shaft.answers.per != newest.per {
                "masses counted differently"
            } else if newest.speeds.iter().all(|speed| shaft.answers.at(speed.speed_rpm).is_none()) {
                "another speed"
            } else {
                return true;
            };
            report.left_out.push((shaft.record, reason));
            false
        });
        report.planes = newest.planes.clone();
        report.per = newest.per.clone();
        report.speeds = newest.speeds.iter().map(|speed| pooled_speed(speed, &shafts)).collect();
        report
    }

    /// What the type predicts for a shaft with these runs, before its own runs are used.
    ///
    /// # Errors
    ///
    /// [`TypeFault`]: too few shafts, other planes, no sensor and speed in common.
    pub fn prior_for(&self, set: &RunSet) -> Result<Prior, TypeFault> {
        let setup = set.setup();
        let planes: Vec<String> = setup.planes.iter().map(|plane| plane.name.clone()).collect();
        let most = self.sensors().map(|(_, sensor)| sensor.shafts).max().unwrap_or(0);
        if self.sensors().all(|(_, sensor)| prior_of(sensor).is_none()) {
            return Err(TypeFault::TooFew { key: self.key.clone(), found: most });
        }
        if planes != self.planes || per(set) != self.per {
            let said = |planes: &[String], per: &str| format!("{} ({per})", planes.join(", "));
            return Err(TypeFault::OtherPlanes {
                key: self.key.clone(),
                wanted: said(&self.planes, &self.per),
                found: said(&planes, per(set)),
            });
        }
        let mirror = Mirror::of(&setup.convention);
        let of_sensor = |speed: Option<f64>, sensor: &crate::shaft::Sensor| {
            let own = |(at, own): &(Option<f64>, &TypeSensor)| {
                same_speed(*at, speed) && own.name == sensor.name && own.unit == sensor.unit
            };
            let prior = self.sensors().find(own).and_then(|(_, own)| prior_of(own))?;
            Some(SensorPrior {
                mean: mirror.vector(&prior.mean),
                covariance: mirror.matrix(&prior.covariance),
            })
        };
        let speeds: Vec<Option<f64>> = set.groups().iter().map(|group| group.speed.map(Speed::rpm)).collect();
        let sensors: Vec<Vec<Option<SensorPrior>>> = speeds
            .iter()
            .map(|speed| setup.sensors.iter().map(|sensor| of_sensor(*speed, sensor)).collect())
            .collect();
        if sensors.iter().flatten().all(Option::is_none) {
            let own = setup.sensors.iter().map(|sensor| (sensor.name.as_str(), sensor.unit.as_str()));
            return Err(TypeFault::NothingInCommon {
                key: self.key.clone(),
                wanted: places(self.speeds.iter().flat_map(|speed| {
                    speed.sensors.iter().map(|own| (own.name.as_str(), own.unit.as_str(), speed.speed_rpm))
                })),
                found: places(
                    speeds.iter().flat_map(|speed| own.clone().map(|(name, unit)| (name, unit, *speed))),
                ),
            });
        }
        Ok(Prior { sensors })
    }

    /// Every sensor with its speed.
    pub fn sensors(&self) -> impl Iterator<Item = (Option<f64>, &TypeSensor)> {
        self.speeds.iter().flat_map(|speed| speed.sensors.iter().map(move |sensor| (speed.speed_rpm, sensor)))
    }

    /// The largest scatter between shafts over planes and sensors, as a share of the mean; `None`: too few shafts.
    #[must_use]
    pub fn largest_scatter(&self) -> Option<f64> {
        self.sensors()
            .filter_map(|(_, sensor)| sensor.pool.as_ref())
            .flat_map(Pool::scatter_shares)
            .reduce(f64::max)
    }
}

/// `None` where the estimate leans on sister shafts.
fn own_response(shaft: &Sister, speed_rpm: Option<f64>, own: &SensorAnswers) -> Option<OwnResponse> {
    own.prior.is_none().then(|| OwnResponse {
        record: shaft.record,
        made_at: shaft.made_at.clone(),
        speed_rpm: shaft.answers.at(speed_rpm).and_then(|at| at.speed_rpm),
        coefficients: own.coefficients.iter().map(|[re, im]| Complex64::new(*re, *im)).collect(),
    })
}

fn prior_of(sensor: &TypeSensor) -> Option<SensorPrior> {
    sensor.pool.as_ref().and_then(Pool::prior)
}

fn places<'a>(all: impl Iterator<Item = (&'a str, &'a str, Option<f64>)>) -> String {
    let one = |(name, unit, speed): (&str, &str, Option<f64>)| match speed {
        Some(speed) => format!("{name} [{unit}] at {speed:.0} rpm"),
        None => format!("{name} [{unit}]"),
    };
    all.map(one).collect::<Vec<String>>().join(", ")
}

fn pooled_speed(speed: &SpeedAnswers, shafts: &[Sister]) -> TypeSpeed {
    let sensors = speed.sensors.iter().map(|sensor| {
        let speaking: Vec<(&Sister, &SensorAnswers, OwnAnswers)> = shafts
            .iter()
            .filter_map(|shaft| {
                let at = shaft.answers.at(speed.speed_rpm)?;
                let own = at.sensors.iter().find(|own| own.name == sensor.name && own.unit == sensor.unit)?;
                Some((shaft, own, own.own()?))
            })
            .collect();
        let own: Vec<OwnAnswers> = speaking.iter().map(|(_, _, own)| own.clone()).collect();
        let pooled = pool(&own);
        let walk = pooled.as_ref().and_then(Pool::walk).map(|walk| {
            let first = speaking[walk.since].0;
            TypeWalk { record: first.record, made_at: first.made_at.clone(), share: walk.share }
        });
        TypeSensor {
            name: sensor.name.clone(),
            unit: sensor.unit.clone(),
            shafts: own.len(),
            pool: pooled,
            walk,
            own: speaking
                .iter()
                .filter_map(|(shaft, own, _)| own_response(shaft, speed.speed_rpm, own))
                .collect(),
        }
    });
    TypeSpeed { speed_rpm: speed.speed_rpm, sensors: sensors.collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_told_with_unit_and_speed() {
        let all = [("front", "mm/s", Some(1800.0)), ("rear", "um", None)];
        assert_eq!(places(all.into_iter()), "front [mm/s] at 1800 rpm, rear [um]");
    }

    // The plain mean by hand: (1 + 3)/2 in the first month, 10 in the second.
    #[test]
    fn every_shaft_of_a_month_counts_alike() {
        let own = |made_at: &str, response: f64| OwnResponse {
            record: 1,
            made_at: made_at.into(),
            speed_rpm: None,
            coefficients: vec![Complex64::new(response, 0.0), Complex64::new(0.0, -response)],
        };
        let sensor = TypeSensor {
            name: "front".into(),
            unit: "mm/s".into(),
            shafts: 3,
            pool: None,
            walk: None,
            own: vec![
                own("2031-02-03T08:00:00Z", 1.0),
                own("2031-02-27T08:00:00Z", 3.0),
                own("2031-03-01T08:00:00Z", 10.0),
            ],
        };
        let months = sensor.by_month();
        assert_eq!(
            months.iter().map(|own| (own.month.as_str(), own.shafts)).collect::<Vec<_>>(),
            [("2031-02", 2), ("2031-03", 1)]
        );
        for (month, mean) in months.iter().zip([2.0, 10.0]) {
            assert!((month.mean[0] - mean).norm() < 1e-12, "{month:?}");
            assert!((month.mean[1] + Complex64::new(0.0, mean)).norm() < 1e-12, "{month:?}");
        }
    }
}
