//! Random numbers that are the same on every machine and for ever: whole-number generators, the four operations, square
//! roots, and `libm`. Whatever is changed here changes the numbers of every record that is worked out again.

use std::sync::OnceLock;

/// Turns 64 bits into 64 others (the output step of SplitMix64).
fn mix(state: u64) -> u64 {
    let z = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// SplitMix64: spreads one seed over the state of the main generator.
struct SplitMix(u64);

impl SplitMix {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(GOLDEN);
        mix(self.0)
    }
}

/// The generator xoshiro256++ of Blackman and Vigna (public domain reference code of 2019).
pub(super) struct Generator {
    state: [u64; 4],
    ziggurat: &'static Ziggurat,
}

impl Generator {
    /// The stream of one chunk: its seed is output `chunk` of a SplitMix64 that starts at the mixed seed.
    pub(super) fn new(seed: u64, chunk: u64) -> Generator {
        let root = SplitMix(seed).next();
        let mut spread = SplitMix(SplitMix(root.wrapping_add(chunk.wrapping_mul(GOLDEN))).next());
        Generator::at([spread.next(), spread.next(), spread.next(), spread.next()])
    }

    fn at(state: [u64; 4]) -> Generator {
        Generator {
            state,
            ziggurat: Ziggurat::get(),
        }
    }

    #[inline]
    pub(super) fn next(&mut self) -> u64 {
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

    /// More than 0 and less than 1, symmetric about a half: the middle of one of 2⁵² equal steps.
    #[inline]
    pub(super) fn unit(&mut self) -> f64 {
        steps(self.next())
    }

    /// One value of the standard normal distribution, by the ziggurat.
    #[inline]
    pub(super) fn normal(&mut self) -> f64 {
        loop {
            let bits = self.next();
            // the lowest eight bits choose the layer; the place in it takes 52 others
            let layer = (bits & 255) as usize;
            let x = (2.0 * steps(bits) - 1.0) * self.ziggurat.x[layer];
            if x.abs() < self.ziggurat.x[layer + 1] {
                return x;
            }
            if let Some(x) = self.edge(layer, x) {
                return x;
            }
        }
    }

    /// The rare rest: the tail beyond the lowest layer, and the corner between a layer and the curve.
    #[cold]
    fn edge(&mut self, layer: usize, x: f64) -> Option<f64> {
        if layer > 0 {
            let (low, high) = (
                density(self.ziggurat.x[layer]),
                density(self.ziggurat.x[layer + 1]),
            );
            return (low + (high - low) * self.unit() < density(x)).then_some(x);
        }
        loop {
            let past = -libm::log(self.unit()) / TAIL;
            if -2.0 * libm::log(self.unit()) > past * past {
                return Some((TAIL + past).copysign(x));
            }
        }
    }

    /// One value of Student's t by Bailey's polar method (Mathematics of Computation 62, 1994; from memory).
    pub(super) fn student_t(&mut self, dof: f64) -> f64 {
        loop {
            let (u, v) = (2.0 * self.unit() - 1.0, 2.0 * self.unit() - 1.0);
            let w = u * u + v * v;
            if w > 0.0 && w < 1.0 {
                return u * (dof * (libm::pow(w, -2.0 / dof) - 1.0) / w).sqrt();
            }
        }
    }
}

/// The middle of one of 2⁵² equal steps between 0 and 1.
#[inline]
fn steps(bits: u64) -> f64 {
    ((bits >> 12) as f64 + 0.5) * (1.0 / (1_u64 << 52) as f64)
}

/// The normal curve with height 1.
fn density(x: f64) -> f64 {
    libm::exp(-0.5 * x * x)
}

/// Where the tail of the ziggurat of 256 layers begins (Marsaglia and Tsang, Journal of Statistical Software 5, 2000;
/// from memory: a wrong value would not let the top layer close, which a test looks at).
const TAIL: f64 = 3.654_152_885_361_009;

/// Half-widths of the layers of equal area, from the widest up to 0.
struct Ziggurat {
    x: [f64; 257],
}

impl Ziggurat {
    fn get() -> &'static Ziggurat {
        static TABLE: OnceLock<Ziggurat> = OnceLock::new();
        TABLE.get_or_init(|| {
            let area = layer_area();
            let mut x = [0.0; 257];
            x[0] = area / density(TAIL);
            x[1] = TAIL;
            for i in 2..256 {
                x[i] = next_layer(x[i - 1], area);
            }
            Ziggurat { x }
        })
    }
}

/// The area of each layer, the tail counted in with the lowest.
fn layer_area() -> f64 {
    let tail = (0.5 * std::f64::consts::PI).sqrt() * libm::erfc(TAIL * std::f64::consts::FRAC_1_SQRT_2);
    TAIL * density(TAIL) + tail
}

fn next_layer(x: f64, area: f64) -> f64 {
    (-2.0 * libm::log(area / x + density(x))).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_generator_gives_its_published_numbers() {
        // read in the reference test of the open repository rust-random/rngs, rand_xoshiro/src/xoshiro256plusplus.rs,
        // which had them from the authors' own code
        let mut random = Generator::at([1, 2, 3, 4]);
        for want in [
            41_943_041,
            58_720_359,
            3_588_806_011_781_223,
            3_591_011_842_654_386,
            9_228_616_714_210_784_205,
            9_973_669_472_204_895_162,
            14_011_001_112_246_962_877,
            12_406_186_145_184_390_807,
            15_849_039_046_786_891_736,
            10_450_023_813_501_588_000,
        ] {
            assert_eq!(random.next(), want);
        }
        // likewise, rand_xoshiro/src/splitmix64.rs
        let mut spread = SplitMix(1_477_776_061_723_855_037);
        for want in [
            1_985_237_415_132_408_290,
            2_979_275_885_539_914_483,
            13_511_426_838_097_143_398,
            8_488_337_342_461_049_707,
            15_141_737_807_933_549_159_u64,
        ] {
            assert_eq!(spread.next(), want);
        }
    }

    #[test]
    fn the_ziggurat_closes_at_its_top() {
        let x = Ziggurat::get().x;
        assert!(x.windows(2).all(|pair| pair[1] < pair[0]));
        // the uppermost layer must have the same area: its height from the last half-width to the top of the curve
        let top = x[255] * (1.0 - density(x[255]));
        assert!((top / layer_area() - 1.0).abs() < 1e-9, "{top} {}", layer_area());
    }

    #[test]
    fn far_values_come_as_often_as_they_should() {
        // beyond the tail's beginning by the distribution, four standard errors of the count allowed
        let mut random = Generator::new(4, 0);
        let draws = 2_000_000;
        let far = (0..draws).filter(|_| random.normal().abs() > TAIL).count() as f64;
        let want = libm::erfc(TAIL * std::f64::consts::FRAC_1_SQRT_2) * f64::from(draws);
        assert!((far - want).abs() < 4.0 * want.sqrt(), "{far} of {want}");
    }
}
