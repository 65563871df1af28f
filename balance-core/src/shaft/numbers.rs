//! Numbers of correction planes and of sensors, which cannot be mixed up.

use std::ops::{Index, IndexMut};

/// A number for only one kind of thing, which finds its entry in a list with one entry for each of them.
macro_rules! number_of {
    ($(#[$about:meta])* $name:ident) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(transparent))]
        pub struct $name(usize);

        impl $name {
            /// The one at this place in the job's list, counted from 0.
            #[must_use]
            pub const fn new(index: usize) -> Self {
                Self(index)
            }

            /// Its place in the job's list, counted from 0.
            #[must_use]
            pub const fn index(self) -> usize {
                self.0
            }

            /// The first so many, in the job's order.
            pub fn all(count: usize) -> impl DoubleEndedIterator<Item = Self> + ExactSizeIterator + Clone {
                (0..count).map(Self)
            }

            /// What is listed once for each of them, with its number.
            pub fn numbered<L: IntoIterator>(list: L) -> impl Iterator<Item = (Self, L::Item)> {
                list.into_iter().enumerate().map(|(index, entry)| (Self(index), entry))
            }
        }

        impl<T> Index<$name> for [T] {
            type Output = T;

            fn index(&self, at: $name) -> &T {
                &self[at.0]
            }
        }

        impl<T> IndexMut<$name> for [T] {
            fn index_mut(&mut self, at: $name) -> &mut T {
                &mut self[at.0]
            }
        }

        impl<T> Index<$name> for Vec<T> {
            type Output = T;

            fn index(&self, at: $name) -> &T {
                &self[at.0]
            }
        }

        impl<T> IndexMut<$name> for Vec<T> {
            fn index_mut(&mut self, at: $name) -> &mut T {
                &mut self[at.0]
            }
        }
    };
}

number_of! {
    /// A correction plane of the job, by its place in the list: front to rear, counted from 0.
    ///
    /// Lists with one entry for each plane can be indexed by it. It is not the number of a sensor or of a
    /// tolerance plane.
    ///
    /// ```
    /// use balance_core::shaft::PlaneId;
    /// let names = ["front", "rear"];
    /// let all: Vec<&str> = PlaneId::all(names.len()).map(|plane| names[..][plane]).collect();
    /// assert_eq!(all, names);
    /// assert_eq!(PlaneId::numbered(names).last(), Some((PlaneId::new(1), "rear")));
    /// ```
    ///
    /// ```compile_fail
    /// use balance_core::shaft::{PlaneId, SensorId};
    /// let sensor: SensorId = PlaneId::new(0);
    /// ```
    PlaneId
}

number_of! {
    /// A sensor of the job, by its place in the list, counted from 0.
    ///
    /// Lists with one entry for each sensor can be indexed by it. It is not the number of a plane.
    SensorId
}
