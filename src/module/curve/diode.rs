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

/// Volts (or amps) below which a step counts as settled.
const SETTLED: f64 = 1e-12;

impl Diode {
    /// Current through the junction at a junction voltage `V + I Rs`, A.
    fn current(&self, junction_v: f64) -> f64 {
        self.photo_a - self.saturation_a * (junction_v / self.a_v).exp_m1() - self.shunt_s * junction_v
    }

    /// Open-circuit voltage, V.
    ///
    /// Newton's method from the voltage without shunt, which lies above the root, where the function is steep and
    /// concave: every step comes from the right.
    #[must_use]
    pub fn open_circuit_v(&self) -> f64 {
        let mut volts = self.a_v * (self.photo_a / self.saturation_a).ln_1p();
        for _ in 0..STEPS {
            let slope = -(self.saturation_a / self.a_v * (volts / self.a_v).exp() + self.shunt_s);
            let step = self.current(volts) / slope;
            volts -= step;
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
            let slope = -self.series_ohm
                * (self.saturation_a / self.a_v * (junction / self.a_v).exp() + self.shunt_s)
                - 1.0;
            let step = (self.current(junction) - amps) / slope;
            amps -= step;
            if step.abs() < SETTLED {
                break;
            }
        }
        amps
    }

    /// Voltage and current of largest power, V and A.
    ///
    /// Over the junction voltage x power is V(x) I(x) with V = x - I Rs, so no equation is implicit: the root of
    /// I' V + I (1 - Rs I') is found by Newton's method, held between 0 and Voc.
    #[must_use]
    pub fn max_power(&self) -> (f64, f64) {
        let (mut low, mut high) = (0.0, self.open_circuit_v());
        let mut x = (high - self.a_v * (high / self.a_v).ln_1p()).max(0.5 * high);
        for _ in 0..STEPS {
            let grown = self.saturation_a / self.a_v * (x / self.a_v).exp();
            let (current, slope, bend) = (self.current(x), -(grown + self.shunt_s), -grown / self.a_v);
            let volts = x - current * self.series_ohm;
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
            let step = next - x;
            x = next;
            if step.abs() < SETTLED {
                break;
            }
        }
        let current = self.current(x);
        (x - current * self.series_ohm, current)
    }
}
