//! Numbers that may be infinite: JSON has no word for that, so `null` is written.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

pub fn serialize<S: Serializer>(value: &f64, to: S) -> Result<S::Ok, S::Error> {
    value.is_finite().then_some(*value).serialize(to)
}

pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<f64, D::Error> {
    Ok(Option::<f64>::deserialize(from)?.unwrap_or(f64::INFINITY))
}
