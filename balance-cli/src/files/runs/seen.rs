//! Which shafts a file has had so far, in little memory.

use std::collections::{HashMap, HashSet};
use std::hash::{BuildHasher, RandomState};

/// Shafts remembered by name and line; of those after them a file can have millions, so only a number is kept.
const BY_NAME: usize = 10_000;
/// The numbers are kept in parts, so that only one part grows at a time.
const PARTS: usize = 16;

/// The shafts seen. Two names of millions get the same number of 64 bits once in about a million files.
#[derive(Debug, Default)]
pub(super) struct Seen {
    names: HashMap<String, u64>,
    hasher: RandomState,
    numbers: [HashSet<u64>; PARTS],
}

/// Where a shaft began before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Before {
    /// In this line.
    InLine(u64),
    /// Somewhere before; its line was not kept.
    Earlier,
}

impl Seen {
    /// Notes a shaft that begins in this line; whether it was there before.
    pub(super) fn note(&mut self, name: &str, line: u64) -> Option<Before> {
        if let Some(first) = self.names.get(name) {
            return Some(Before::InLine(*first));
        }
        if self.names.len() < BY_NAME {
            self.names.insert(name.to_owned(), line);
            return None;
        }
        let number = self.hasher.hash_one(name);
        let part = usize::try_from(number % PARTS as u64).unwrap_or_default();
        (!self.numbers[part].insert(number)).then_some(Before::Earlier)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shaft_is_known_again_among_the_first_and_among_many() {
        let mut seen = Seen::default();
        let name = |at: usize| format!("S{at}");
        for at in 0..3 * BY_NAME {
            assert_eq!(seen.note(&name(at), at as u64 + 2), None, "{at}");
        }
        assert_eq!(seen.note(&name(7), 99), Some(Before::InLine(9)));
        assert_eq!(seen.note(&name(2 * BY_NAME), 99), Some(Before::Earlier));
        assert_eq!(seen.note("new", 99), None);
    }
}
