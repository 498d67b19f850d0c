//! Numbers that look random and are the same in every run, as a meter at the bench would
//! scatter. Invented data.

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014).
pub struct Noise(pub u64);

impl Noise {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly between two values.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly on the logarithm.
    pub fn decade(&mut self, least: f64, most: f64) -> f64 {
        self.between(least.ln(), most.ln()).exp()
    }

    /// A whole number from `least` to `most`.
    pub fn count(&mut self, least: usize, most: usize) -> usize {
        (self.between(least as f64, most as f64 + 1.0) as usize).min(most)
    }

    pub fn chance(&mut self, part: f64) -> bool {
        self.between(0.0, 1.0) < part
    }

    /// Normally distributed about zero with a standard deviation of one (Box and Muller).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.between(f64::MIN_POSITIVE, 1.0).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.between(0.0, 1.0)).cos()
    }

    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for at in (1..list.len()).rev() {
            list.swap(at, self.count(0, at));
        }
    }
}
