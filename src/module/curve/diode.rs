//! One curve: I = IL - I0 (exp((V + I Rs)/a) - 1) - (V + I Rs) Gsh.

/// The single-diode equation at one light and one temperature [DESOTO2006] eq. 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diode {
    /// n N k T / q, V.
    pub a_v: f64,
    /// Light-generated current, A.
    pub photo_a: f64,
    /// Saturation current, A.
    pub saturation_a: f64,
    /// Series resistance, ohm.
    pub series_ohm: f64,
    /// Shunt conductance, 1/ohm.
    pub shunt_s: f64,
}

/// Steps after which Newton's method has settled in every case tried; convergence takes 3 to 6.
const STEPS: usize = 40;

/// Volts (or amps) below which a step counts as settled: the next step, being quadratic, would be lost in rounding.
const SETTLED: f64 = 1e-8;

/// Where power is largest, with the open-circuit voltage that the search needs anyway.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Top {
    /// Open-circuit voltage, V.
    pub voc_v: f64,
    /// Voltage of largest power, V.
    pub vmp_v: f64,
    /// Current there, A.
    pub imp_a: f64,
}

impl Diode {
    /// Open-circuit voltage, V.
    ///
    /// Newton's method from the voltage without shunt, which lies above the root, where the function is steep and
    /// concave: every step comes from the right.
    #[must_use]
    pub fn open_circuit_v(&self) -> f64 {
        let mut volts = self.a_v * (self.photo_a / self.saturation_a).ln_1p();
        for _ in 0..STEPS {
            let grown = self.saturation_a * (volts / self.a_v).exp();
            let current = self.photo_a + self.saturation_a - grown - self.shunt_s * volts;
            let step = current / (grown / self.a_v + self.shunt_s);
            volts += step;
            if step.abs() < SETTLED {
                break;
            }
        }
        volts
    }

    /// Short-circuit current, A.
    #[must_use]
    pub fn short_circuit_a(&self) -> f64 {
        let mut amps = self.photo_a;
        for _ in 0..STEPS {
            let junction = amps * self.series_ohm;
            let grown = self.saturation_a * (junction / self.a_v).exp();
            let current = self.photo_a + self.saturation_a - grown - self.shunt_s * junction;
            let step = (current - amps) / (1.0 + self.series_ohm * (grown / self.a_v + self.shunt_s));
            amps += step;
            if step.abs() < SETTLED {
                break;
            }
        }
        amps
    }

    /// The point of largest power.
    ///
    /// Over the junction voltage x power is V(x) I(x) with V = x - I Rs, so no equation is implicit: the root of
    /// I' V + I (1 - Rs I') is found by Newton's method, held between 0 and Voc.
    #[must_use]
    pub fn max_power(&self) -> Top {
        let voc_v = self.open_circuit_v();
        let (mut low, mut high) = (0.0, voc_v);
        let mut x = (voc_v - self.a_v * (voc_v / self.a_v).ln_1p()).max(0.5 * voc_v);
        let per_a = 1.0 / self.a_v;
        let (mut volts, mut current) = (voc_v, 0.0);
        for _ in 0..STEPS {
            let grown = self.saturation_a * (x * per_a).exp();
            current = self.photo_a + self.saturation_a - grown - self.shunt_s * x;
            let (slope, bend) = (-(grown * per_a + self.shunt_s), -grown * per_a * per_a);
            volts = x - current * self.series_ohm;
            let rise = 1.0 - self.series_ohm * slope;
            let value = slope * volts + current * rise;
            if value > 0.0 {
                low = x;
            } else {
                high = x;
            }
            let steep = 2.0 * slope * rise + bend * (volts - current * self.series_ohm);
            let newton = x - value / steep;
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            if (next - x).abs() < SETTLED {
                break;
            }
            x = next;
        }
        Top { voc_v, vmp_v: volts, imp_a: current }
    }
}
