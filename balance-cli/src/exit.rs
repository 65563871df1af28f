//! How the program ends.

/// The exit status; every value has one meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// 0: done, and a verdict that was asked for is "meets".
    Done,
    /// 1: the verdict is "exceeds".
    Exceeds,
    /// 2: it could not be done because of usage, input or files.
    CouldNot,
    /// 3: the verdict is "undecided".
    Undecided,
}

impl Exit {
    /// The number the operating system gets.
    #[must_use]
    pub fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Exceeds => 1,
            Self::CouldNot => 2,
            Self::Undecided => 3,
        }
    }

    /// For many shafts the worst counts: 2 before 1 before 3 before 0.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        let rank = |exit| match exit {
            Self::CouldNot => 3,
            Self::Exceeds => 2,
            Self::Undecided => 1,
            Self::Done => 0,
        };
        if rank(other) > rank(self) { other } else { self }
    }
}

#[cfg(test)]
mod tests {
    use super::Exit;

    #[test]
    fn the_worst_holds() {
        let order = [Exit::Done, Exit::Undecided, Exit::Exceeds, Exit::CouldNot];
        for (at, low) in order.iter().enumerate() {
            for high in &order[at..] {
                assert_eq!(low.worse(*high), *high);
                assert_eq!(high.worse(*low), *high);
            }
        }
        assert_eq!(order.map(Exit::code), [0, 3, 1, 2]);
    }
}
