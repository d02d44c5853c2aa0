//! A small seeded generator, so that resampling and calibration give the same figures on every machine.

/// Seeded generator xoshiro256++ [BLACKMAN2021], its state filled by splitmix64.
///
/// Not for secrets. The same seed gives the same numbers everywhere.
#[derive(Clone, Debug)]
pub struct Random {
    state: [u64; 4],
}

impl Random {
    /// A generator from a seed; any seed is allowed.
    #[must_use]
    pub fn seeded(seed: u64) -> Self {
        let mut counter = seed;
        Self { state: std::array::from_fn(|_| split_mix(&mut counter)) }
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        let s = &mut self.state;
        let result = s[0].wrapping_add(s[3]).rotate_left(23).wrapping_add(s[0]);
        let shifted = s[1] << 17;
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= shifted;
        s[3] = s[3].rotate_left(45);
        result
    }

    /// A number strictly between 0 and 1, in steps of 2^-53: the logarithm of it and of its complement is finite.
    pub fn unit(&mut self) -> f64 {
        const STEP: f64 = 1.0 / (1u64 << 53) as f64;
        // 53 bits survive the shift, so the half step keeps the result off both ends. The largest, 1 - 2^-54, would
        // round to 1; it is held one step below.
        (((self.bits() >> 11) as f64 + 0.5) * STEP).min(1.0 - STEP)
    }

    /// A whole number from 0 up to `count`, which is left out. 0 for a count of 0.
    ///
    /// By multiplication: the bias is below count / 2^64.
    pub fn below(&mut self, count: usize) -> usize {
        ((u128::from(self.bits()) * count as u128) >> 64) as usize
    }
}

/// splitmix64: moves `counter` on and returns its scrambled value.
fn split_mix(counter: &mut u64) -> u64 {
    *counter = counter.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut mixed = *counter;
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ (mixed >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values from memory of the reference implementations: splitmix64 with seed 1234567, xoshiro256++ from the state
    /// 1, 2, 3, 4.
    #[test]
    fn generators_give_the_published_sequences() {
        let mut counter = 1_234_567;
        let mixed: Vec<u64> = (0..3).map(|_| split_mix(&mut counter)).collect();
        assert_eq!(mixed, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
        let mut random = Random { state: [1, 2, 3, 4] };
        let drawn: Vec<u64> = (0..5).map(|_| random.bits()).collect();
        assert_eq!(
            drawn,
            [41_943_041, 58_720_359, 3_588_806_011_781_223, 3_591_011_842_654_386, 9_228_616_714_210_784_205]
        );
    }

    #[test]
    fn numbers_stay_inside_their_range() {
        let mut random = Random::seeded(7);
        let mut seen = [0_u32; 6];
        for _ in 0..60_000 {
            let unit = random.unit();
            assert!(unit > 0.0 && unit < 1.0);
            seen[random.below(6)] += 1;
        }
        // Six faces, 10 000 expected each; 400 is over four standard deviations.
        assert!(seen.iter().all(|&count| count.abs_diff(10_000) < 400), "{seen:?}");
        assert_eq!(random.below(0), 0);
    }
}
