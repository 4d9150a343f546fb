//! Small dense Gaussian algebra: Cholesky factor, log density, leave-one-out densities.

use std::sync::Arc;

/// Cholesky factor of a symmetric positive definite matrix: S = Uᵀ U with U row by row, so that what runs innermost runs
/// along a row.
#[derive(Clone, Debug, Default)]
pub struct Cholesky {
    /// Order of the matrix.
    pub order: usize,
    /// Shared, since many stand on one factor.
    upper: Arc<Vec<f64>>,
}

impl Cholesky {
    /// Factorises the lower triangle of `matrix` (row-major, order²). `None` when it is not positive definite.
    pub fn new(order: usize, mut matrix: Vec<f64>) -> Option<Self> {
        for i in 0..order {
            for j in 0..i {
                matrix[j * order + i] = matrix[i * order + j];
            }
        }
        for k in 0..order {
            let (done, rest) = matrix.split_at_mut((k + 1) * order);
            let row = &mut done[k * order + k..];
            let square = row[0];
            if square.is_nan() || square <= 0.0 {
                return None;
            }
            let root = square.sqrt();
            for entry in row.iter_mut() {
                *entry /= root;
            }
            for (i, later) in rest.chunks_exact_mut(order).enumerate() {
                let row = &row[i + 1..];
                let factor = row[0];
                for (entry, x) in later[k + 1 + i..].iter_mut().zip(row) {
                    *entry -= factor * x;
                }
            }
        }
        Some(Self {
            order,
            upper: Arc::new(matrix),
        })
    }

    fn row(&self, k: usize) -> &[f64] {
        &self.upper[k * self.order + k..(k + 1) * self.order]
    }

    /// Natural logarithm of the determinant.
    pub fn log_det(&self) -> f64 {
        (0..self.order).map(|i| 2.0 * self.row(i)[0].ln()).sum()
    }

    /// U⁻ᵀ b, written over b.
    pub fn forward(&self, b: &mut [f64]) {
        for k in 0..self.order {
            let row = self.row(k);
            let value = b[k] / row[0];
            b[k] = value;
            for (entry, x) in b[k + 1..].iter_mut().zip(&row[1..]) {
                *entry -= value * x;
            }
        }
    }

    /// U⁻¹ b, written over b.
    pub fn backward(&self, b: &mut [f64]) {
        for k in (0..self.order).rev() {
            let row = self.row(k);
            let sum: f64 = row[1..].iter().zip(&b[k + 1..]).map(|(x, y)| x * y).sum();
            b[k] = (b[k] - sum) / row[0];
        }
    }

    /// S⁻¹ b, written over b.
    pub fn solve(&self, b: &mut [f64]) {
        self.forward(b);
        self.backward(b);
    }

    /// U⁻ᵀ, row by row, below its diagonal.
    fn lower_inverse(&self) -> Vec<f64> {
        let order = self.order;
        let mut inverse = vec![0.0; order * order];
        for k in 0..order {
            let (above, rest) = inverse.split_at_mut((k + 1) * order);
            let own = &mut above[k * order..=k * order + k];
            let row = self.row(k);
            own[k] = 1.0;
            for entry in own.iter_mut() {
                *entry /= row[0];
            }
            for (later, factor) in rest.chunks_exact_mut(order).zip(&row[1..]) {
                for (entry, x) in later.iter_mut().zip(&*own) {
                    *entry -= factor * x;
                }
            }
        }
        inverse
    }

    /// The inverse, row by row.
    pub fn inverse(&self) -> Vec<f64> {
        let order = self.order;
        let lower = self.lower_inverse();
        let mut inverse = vec![0.0; order * order];
        for (i, row) in lower.chunks_exact(order.max(1)).enumerate() {
            let row = &row[..=i];
            for (own, factor) in inverse.chunks_exact_mut(order).zip(row) {
                for (entry, x) in own.iter_mut().zip(row) {
                    *entry += factor * x;
                }
            }
        }
        inverse
    }

    /// Diagonal of the inverse.
    pub fn inverse_diagonal(&self) -> Vec<f64> {
        let mut diagonal = vec![0.0; self.order];
        for row in self.lower_inverse().chunks_exact(self.order.max(1)) {
            for (entry, x) in diagonal.iter_mut().zip(row) {
                *entry += x * x;
            }
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
            matrix[i * order + j] += dot(own, &rows[j * width..(j + 1) * width]);
        }
    }
}

/// Sum of products of two rows of one length; quickest where that is a multiple of [`LANES`].
///
/// ```
/// use pinchpoint::infer::gauss::dot;
/// for length in [1, 7, 8, 9, 20] {
///     assert_eq!(dot(&vec![1.0; length], &vec![2.0; length]), 2.0 * length as f64);
/// }
/// ```
pub fn dot(one: &[f64], two: &[f64]) -> f64 {
    let (whole, others) = (one.chunks_exact(LANES), two.chunks_exact(LANES));
    let rest = whole.remainder().iter().zip(others.remainder());
    let rest: f64 = rest.map(|(a, b)| a * b).sum();
    let mut sums = [0.0; LANES];
    for (a, b) in whole.zip(others) {
        for lane in 0..LANES {
            sums[lane] += a[lane] * b[lane];
        }
    }
    sums.iter().sum::<f64>() + rest
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
