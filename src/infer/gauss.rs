//! Small dense Gaussian algebra: Cholesky factor, log density, leave-one-out densities.

/// Lower Cholesky factor of a symmetric positive definite matrix, row by row.
#[derive(Clone, Debug, Default)]
pub struct Cholesky {
    /// Order of the matrix.
    pub order: usize,
    lower: Vec<f64>,
}

impl Cholesky {
    /// Factorises the lower triangle of `matrix` (row-major, order²). `None` when it is not positive definite.
    pub fn new(order: usize, mut matrix: Vec<f64>) -> Option<Self> {
        for i in 0..order {
            let (above, rest) = matrix.split_at_mut(i * order);
            let row = &mut rest[..order];
            for j in 0..i {
                let other = &above[j * order..j * order + order];
                let sum: f64 = row[..j].iter().zip(&other[..j]).map(|(a, b)| a * b).sum();
                row[j] = (row[j] - sum) / other[j];
            }
            let square = row[i] - row[..i].iter().map(|a| a * a).sum::<f64>();
            if square.is_nan() || square <= 0.0 {
                return None;
            }
            row[i] = square.sqrt();
        }
        Some(Self {
            order,
            lower: matrix,
        })
    }

    /// Natural logarithm of the determinant.
    pub fn log_det(&self) -> f64 {
        (0..self.order)
            .map(|i| 2.0 * self.lower[i * self.order + i].ln())
            .sum()
    }

    /// L⁻¹ b, written over b.
    pub fn forward(&self, b: &mut [f64]) {
        for i in 0..self.order {
            let row = &self.lower[i * self.order..i * self.order + i + 1];
            let sum: f64 = row[..i].iter().zip(&*b).map(|(a, x)| a * x).sum();
            b[i] = (b[i] - sum) / row[i];
        }
    }

    /// L⁻ᵀ b, written over b.
    pub fn backward(&self, b: &mut [f64]) {
        for i in (0..self.order).rev() {
            b[i] /= self.lower[i * self.order + i];
            let value = b[i];
            let row = &self.lower[i * self.order..i * self.order + i];
            for (entry, a) in b.iter_mut().zip(row) {
                *entry -= a * value;
            }
        }
    }

    /// S⁻¹ b, written over b.
    pub fn solve(&self, b: &mut [f64]) {
        self.forward(b);
        self.backward(b);
    }

    /// The inverse, row by row.
    pub fn inverse(&self) -> Vec<f64> {
        let mut inverse = vec![0.0; self.order * self.order];
        for (j, row) in inverse.chunks_exact_mut(self.order.max(1)).enumerate() {
            row[j] = 1.0;
            self.solve(row);
        }
        inverse
    }

    /// Diagonal of the inverse.
    pub fn inverse_diagonal(&self) -> Vec<f64> {
        let mut diagonal = vec![0.0; self.order];
        let mut column = vec![0.0; self.order];
        for (j, entry) in diagonal.iter_mut().enumerate() {
            column.fill(0.0);
            column[j] = 1.0;
            self.forward(&mut column);
            *entry = column[j..].iter().map(|x| x * x).sum();
        }
        diagonal
    }
}

/// Adds A Aᵀ to the lower triangle of a square matrix; `rows` holds A, each row `width` long, a multiple of [`LANES`].
pub fn add_gram(rows: &[f64], width: usize, matrix: &mut [f64]) {
    let order = rows.len().checked_div(width).unwrap_or(0);
    for i in 0..order {
        let own = &rows[i * width..(i + 1) * width];
        for j in 0..=i {
            let other = &rows[j * width..(j + 1) * width];
            let mut sums = [0.0; LANES];
            for (a, b) in own.chunks_exact(LANES).zip(other.chunks_exact(LANES)) {
                for lane in 0..LANES {
                    sums[lane] += a[lane] * b[lane];
                }
            }
            matrix[i * order + j] += sums.iter().sum::<f64>();
        }
    }
}

/// Sums that run side by side where many products are added, so that one need not wait for the other.
pub const LANES: usize = 8;

/// ln(e^a + e^b + …).
pub fn log_sum(terms: impl IntoIterator<Item = f64> + Clone) -> f64 {
    let most = terms.clone().into_iter().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + terms
        .into_iter()
        .map(|term| (term - most).exp())
        .sum::<f64>()
        .ln()
}

/// Φ(z) of the standard normal distribution, by Abramowitz and Stegun 7.1.26 (absolute error 1.5e-7).
pub fn normal_cdf(z: f64) -> f64 {
    let upper = upper_half(z.abs());
    if z < 0.0 { upper } else { 1.0 - upper }
}

/// Probability above z ≥ 0.
fn upper_half(z: f64) -> f64 {
    let x = z / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let poly = t
        * (0.254_829_592
            + t * (-0.284_496_736
                + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    0.5 * poly * (-x * x).exp()
}

/// ln Φ(z) of the standard normal distribution, by the complementary error function of Abramowitz and Stegun 7.1.26
/// (absolute error 1.5e-7) above −3 and the asymptotic series 26.2.12 below.
pub fn log_normal_cdf(z: f64) -> f64 {
    if z < -3.0 {
        let inverse = 1.0 / (z * z);
        return -0.5 * z * z - (-z * (2.0 * std::f64::consts::PI).sqrt()).ln()
            + (1.0 - inverse + 3.0 * inverse * inverse).ln();
    }
    let upper = upper_half(z.abs());
    if z < 0.0 {
        upper.max(1e-300).ln()
    } else {
        (1.0 - upper).ln()
    }
}
