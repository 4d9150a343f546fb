//! Minutes of opening up, reckoned many times over: places sorted into half octaves of probability per minute.

/// Half octaves of probability per minute that are told apart, from 2^LOWEST upwards.
const BUCKETS: usize = 96;
const LOWEST: i64 = -40;

/// Scratch space of a plan.
pub(super) struct Desk {
    mass: [f64; BUCKETS],
    minutes: [f64; BUCKETS],
    own: [f64; BUCKETS],
}

impl Desk {
    pub fn new() -> Self {
        Self {
            mass: [0.0; BUCKETS],
            minutes: [0.0; BUCKETS],
            own: [0.0; BUCKETS],
        }
    }

    /// Expected minutes of opening places in the order of probability per minute until the right one is open, times the
    /// masses' sum. Places within half an octave of one another are taken in any order.
    pub fn opening(&mut self, masses: &[f64], minutes: &[f64]) -> f64 {
        let (mut first, mut last) = (BUCKETS, 0);
        self.mass.fill(0.0);
        self.minutes.fill(0.0);
        self.own.fill(0.0);
        for (&m, &c) in masses.iter().zip(minutes) {
            if m <= 0.0 {
                continue;
            }
            // The exponent and the first bit of the fraction.
            let bits = ((m / c).to_bits() >> 51) as i64 - 2 * (1023 + LOWEST);
            let at = bits.clamp(0, BUCKETS as i64 - 1) as usize;
            first = first.min(at);
            last = last.max(at);
            self.mass[at] += m;
            self.minutes[at] += c;
            self.own[at] += m * c;
        }
        let (mut spent, mut expected) = (0.0, 0.0);
        for at in (first..=last.min(BUCKETS - 1)).rev() {
            expected +=
                self.mass[at] * spent + 0.5 * (self.mass[at] * self.minutes[at] + self.own[at]);
            spent += self.minutes[at];
        }
        expected
    }
}
