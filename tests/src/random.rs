//! Seeded random numbers: always the same on every machine.

use balance_core::Complex64;

/// SplitMix64 (S. Vigna, public domain): small, and good enough to shake a test.
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// A different stream for every seed.
    #[must_use]
    pub fn seeded(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0xD1B5_4A32_D192_ED03)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// Evenly in 0..1, never 1.
    pub fn even(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    /// One of `0..count`.
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }

    /// Normal with mean zero and standard deviation one (Box and Muller).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }

    /// Circular complex normal with E|z|² = 1.
    pub fn circular(&mut self) -> Complex64 {
        Complex64::new(self.normal(), self.normal()) * std::f64::consts::FRAC_1_SQRT_2
    }

    /// A vector of length one in any direction.
    pub fn direction(&mut self) -> Complex64 {
        Complex64::cis(self.between(0.0, std::f64::consts::TAU))
    }
}
