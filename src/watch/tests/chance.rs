//! Random numbers for tests: code below the effects needs no crate for them.

/// Random numbers: splitmix64 (Steele, Lea & Flood 2014), with twelve uniform draws for a normal
/// one.
pub(in crate::watch) struct Chance(pub(in crate::watch) u64);

impl Chance {
    pub(in crate::watch) fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / 9_007_199_254_740_992.0
    }

    pub(in crate::watch) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}
