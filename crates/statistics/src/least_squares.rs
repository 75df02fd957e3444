//! Nonlinear least squares: parameters at which the squares of residuals are least, with their covariance.
//!
//! Levenberg's and Marquardt's method, damped so far that no step leaves the region in which the last ones were well foreseen; each step solves the damped
//! linear problem by Householder's reflections, never by normal equations, which would halve the digits. Parameters are scaled by the size of their start: scaling by derivatives, as
//! is often done, does not come to rest on one of the sets it is held against.

use nalgebra::{DMatrix, DVector};
use statrs::distribution::{ContinuousCDF as _, StudentsT};

use crate::sums::{squares, sum_of};

/// A fit that came to rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The parameters, in the order of the start.
    pub parameters: Vec<f64>,
    /// Their covariance, from the spread of the residuals: `s² (JᵀJ)⁻¹`.
    pub covariance: Vec<Vec<f64>>,
    /// Sum of squared residuals.
    pub sum_of_squares: f64,
    /// Standard deviation of the residuals: `√(S / (n − p))`.
    pub deviation: f64,
    /// Degrees of freedom, `n − p`.
    pub freedom: f64,
    /// The residuals at the parameters.
    pub residuals: Vec<f64>,
    /// Derivative of each residual by each parameter: a row for each residual.
    jacobian: DMatrix<f64>,
}

/// Why there is no fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoFit {
    /// Fewer residuals than parameters and one.
    TooFew,
    /// The residuals at the start are not finite.
    BadStart,
    /// The residuals do not tell the parameters apart.
    Undetermined,
    /// No rest within the evaluations allowed.
    NoRest,
}

impl core::fmt::Display for NoFit {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        formatter.write_str(match self {
            Self::TooFew => "fewer values than parameters",
            Self::BadStart => "the model cannot be computed at the start",
            Self::Undetermined => "the values do not tell the parameters apart",
            Self::NoRest => "the fit came to no rest",
        })
    }
}

impl core::error::Error for NoFit {}

/// What is fitted. A function that fills the residuals is one.
pub trait Model {
    /// Fills the residuals at some parameters, always of one length. What is not finite makes a step smaller.
    fn residuals(&mut self, parameters: &[f64], out: &mut [f64]);

    /// Fills the derivative of each residual by one parameter, where it is to be had without another run of the model; else returns
    /// `false`, and differences are taken.
    fn slopes(&mut self, parameter: usize, parameters: &[f64], residuals: &[f64], out: &mut [f64]) -> bool {
        let _ = (parameter, parameters, residuals, out);
        false
    }
}

impl<F: FnMut(&[f64], &mut [f64])> Model for F {
    fn residuals(&mut self, parameters: &[f64], out: &mut [f64]) {
        self(parameters, out);
    }
}

const STEPS: usize = 2_000;

/// Fits parameters.
///
/// `count` is the number of residuals. Derivatives that the model does not tell are differences: to one side on the way, central where the
/// fit comes to rest.
///
/// # Errors
/// [`NoFit`] says why there is none.
///
/// # Source
/// [more-1978], sections 2 to 6, for the region and the damping; held against the nonlinear sets of [nist-strd].
pub fn least_squares(model: impl Model, start: &[f64], count: usize) -> Result<Fit, NoFit> {
    least_squares_to(1e-16, model, start, count)
}

/// As [`least_squares`], at rest where all that the derivatives promise is less than this share of the sum of squares, or where two
/// steps in turn gained less.
///
/// # Errors
/// As [`least_squares`].
pub fn least_squares_to(rest: f64, model: impl Model, start: &[f64], count: usize) -> Result<Fit, NoFit> {
    if count <= start.len() {
        return Err(NoFit::TooFew);
    }
    let mut search = Search::from(model, start, count)?;
    for _ in 0..STEPS {
        let step = search.factor.step_within(search.trusted);
        match search.take(rest, &step.ok_or(NoFit::Undetermined)?) {
            Went::On => {}
            Went::ToRest => return search.at.finish(&search.factor, &search.scale),
        }
    }
    Err(NoFit::NoRest)
}

/// The way of a fit.
struct Search<M> {
    model: Told<M>,
    /// The size of each parameter.
    scale: Vec<f64>,
    at: Place,
    factor: Factor,
    /// How far the derivatives are trusted, in scaled parameters.
    trusted: f64,
    /// Steps in turn that gained hardly anything.
    quiet: u32,
    /// Whether differences are taken to both sides.
    central: bool,
    trial: Vec<f64>,
}

/// What a step led to.
enum Went {
    On,
    ToRest,
}

impl<M: Model> Search<M> {
    fn from(model: M, start: &[f64], count: usize) -> Result<Self, NoFit> {
        let mut model = Told {
            model,
            above: vec![0.0; count],
            below: vec![0.0; count],
        };
        let mut here = vec![0.0; count];
        model.model.residuals(start, &mut here);
        let sum = squares(&here);
        if !sum.is_finite() {
            return Err(NoFit::BadStart);
        }
        let size = |at: &f64| if *at == 0.0 { 1.0 } else { at.abs() };
        let scale: Vec<f64> = start.iter().map(size).collect();
        let at = Place {
            parameters: start.to_vec(),
            jacobian: model.slopes(start, &here, false),
            residuals: here,
            sum,
        };
        if at.jacobian.iter().all(|slope| *slope == 0.0) {
            return Err(NoFit::Undetermined);
        }
        Ok(Self {
            factor: Factor::of(&at, &scale),
            trusted: CAREFUL * (start.len() as f64).sqrt(),
            quiet: 0,
            central: false,
            trial: vec![0.0; count],
            model,
            scale,
            at,
        })
    }

    /// Takes a scaled step, where it leads down.
    fn take(&mut self, rest: f64, step: &DVector<f64>) -> Went {
        let moved = self.at.parameters.iter().zip(step.iter()).zip(&self.scale);
        let next: Vec<f64> = moved.map(|((own, step), scale)| own - step * scale).collect();
        self.model.model.residuals(&next, &mut self.trial);
        let reached = squares(&self.trial);
        let foreseen = self.factor.gain(step);
        let share = if foreseen > 0.0 {
            (self.at.sum - reached) / foreseen
        } else {
            1.0
        };
        // Near rest, a gain that does not come may be the fault of differences to one side: better ones first, then shorter steps.
        if !self.central && foreseen <= NEAR * self.at.sum && !(share >= 0.25) {
            self.look(true);
            return Went::On;
        }
        self.trust(share, step.norm());
        if reached.is_finite() && reached <= self.at.sum {
            return self.arrive(rest, next, reached);
        }
        if step.amax() < 1e-13 {
            self.look(true);
            return Went::ToRest;
        }
        Went::On
    }

    /// How far the next step may go, from what this one gained of what was foreseen. What is not finite shortens, too.
    fn trust(&mut self, share: f64, length: f64) {
        if share > 0.75 {
            self.trusted = self.trusted.max(2.0 * length);
        } else if !(share >= 0.25) {
            self.trusted = length * if share > -1.0 { 0.5 } else { 0.1 };
        }
    }

    /// At the end of a step that led down.
    fn arrive(&mut self, rest: f64, next: Vec<f64>, reached: f64) -> Went {
        // Two quiet steps in turn: one may be quiet by its shortness alone.
        let gained = (self.at.sum - reached) / self.at.sum.max(f64::MIN_POSITIVE);
        self.quiet = if gained < rest { self.quiet + 1 } else { 0 };
        self.at.parameters = next;
        std::mem::swap(&mut self.at.residuals, &mut self.trial);
        self.at.sum = reached;
        self.look(self.central || gained < NEAR || reached == 0.0);
        while self.quiet >= 2 || self.factor.promised() <= rest * self.at.sum {
            if self.central {
                return Went::ToRest;
            }
            self.look(true);
        }
        Went::On
    }

    /// Takes the derivatives anew.
    fn look(&mut self, central: bool) {
        self.central = central;
        self.at.jacobian = self
            .model
            .slopes(&self.at.parameters, &self.at.residuals, central);
        self.factor = Factor::of(&self.at, &self.scale);
    }
}

/// The first steps, as a share of the size of the parameters. With three times that, two of the 54 runs of the published sets end in valleys
/// that have no end, with a hundred times that, as is usual, two others; with a thirtieth, one finds its peaks exchanged.
const CAREFUL: f64 = 0.3;

/// The share gained by a step below which derivatives are taken with care.
const NEAR: f64 = 1e-10;

/// A model whose derivatives are all told, with room for differences.
struct Told<M> {
    model: M,
    above: Vec<f64>,
    below: Vec<f64>,
}

impl<M: Model> Told<M> {
    /// Derivative of each residual by each parameter: a row for each residual.
    fn slopes(&mut self, at: &[f64], here: &[f64], central: bool) -> DMatrix<f64> {
        let mut out: Vec<f64> = Vec::with_capacity(here.len() * at.len());
        let mut point = at.to_vec();
        for (column, own) in at.iter().enumerate() {
            if self.model.slopes(column, at, here, &mut self.above) {
                out.extend_from_slice(&self.above);
                continue;
            }
            // The root, or cube root, of the precision balances rounding against the curvature that the differences do not see.
            let step = if central { 6e-6 } else { 1.5e-8 } * own.abs().max(1e-6);
            point[column] = own + step;
            let mut width = point[column] - own;
            self.model.residuals(&point, &mut self.above);
            if central {
                point[column] = own - step;
                width += own - point[column];
                self.model.residuals(&point, &mut self.below);
            }
            point[column] = *own;
            let per = width.recip();
            let below = if central { &self.below } else { here };
            out.extend((self.above.iter().zip(below)).map(|(above, below)| (above - below) * per));
        }
        // Seldom, so that the loops above stay plain ones.
        if !squares(&out).is_finite() {
            for slope in &mut out {
                *slope = if slope.is_finite() { *slope } else { 0.0 };
            }
        }
        DMatrix::from_vec(here.len(), at.len(), out)
    }
}

/// Where the fit has come to.
struct Place {
    parameters: Vec<f64>,
    residuals: Vec<f64>,
    jacobian: DMatrix<f64>,
    sum: f64,
}

/// The derivatives by scaled parameters and the residuals beside them, reflected to a triangle once: every damping then solves a
/// problem as small as the number of parameters.
struct Factor {
    triangle: DMatrix<f64>,
    right: DVector<f64>,
}

impl Factor {
    fn of(place: &Place, scale: &[f64]) -> Self {
        let size = scale.len();
        let mut beside = Vec::with_capacity(place.residuals.len() * (size + 1));
        // As slices: they are gone through several times as fast as the columns of a matrix.
        let columns = place.jacobian.as_slice().chunks_exact(place.residuals.len());
        for (column, scale) in columns.zip(scale) {
            beside.extend(column.iter().map(|slope| slope * scale));
        }
        beside.extend_from_slice(&place.residuals);
        let beside = DMatrix::from_vec(place.residuals.len(), size + 1, beside);
        let all = beside.qr().unpack_r();
        Self {
            triangle: all.view((0, 0), (size, size)).into(),
            right: all.view((0, size), (size, 1)).column(0).into(),
        }
    }

    /// The scaled step to the least foreseen sum of squares among all that are not longer than `trusted`, to a tenth.
    fn step_within(&self, trusted: f64) -> Option<DVector<f64>> {
        let whole = self.triangle.solve_upper_triangular(&self.right);
        let whole = whole.filter(|step| step.norm() <= 1.1 * trusted);
        if whole.is_some() {
            return whole;
        }
        // The length falls with the damping. Between bounds, Newton's steps on 1 / length, which is nearly straight.
        let largest = self.triangle.tr_mul(&self.right).norm() / trusted;
        let (mut low, mut high) = (0.0, largest);
        let mut damping = 1e-3 * largest;
        for _ in 0..60 {
            let (step, triangle) = self.damped(damping)?;
            let length = step.norm();
            if (length / trusted - 1.0).abs() <= 0.1 || high - low <= 1e-12 * high {
                return Some(step);
            }
            if length > trusted {
                low = damping;
            } else {
                high = damping;
            }
            let back = triangle.tr_solve_upper_triangular(&step)?;
            let newton = damping + (length / trusted - 1.0) * (length / back.norm()).powi(2);
            damping = if newton > low && newton < high {
                newton
            } else {
                (low * high).sqrt().max(1e-3 * high)
            };
        }
        self.damped(high).map(|(step, _)| step)
    }

    /// Solves `min |J s − r|² + λ |s|²`: the scaled step, and the triangle whose square is `JᵀJ + λ`.
    fn damped(&self, damping: f64) -> Option<(DVector<f64>, DMatrix<f64>)> {
        let size = self.right.len();
        let mut beside = DMatrix::zeros(2 * size, size + 1);
        beside.view_mut((0, 0), (size, size)).copy_from(&self.triangle);
        beside.view_mut((0, size), (size, 1)).copy_from(&self.right);
        for row in 0..size {
            beside[(size + row, row)] = damping.sqrt();
        }
        let all = beside.qr().unpack_r();
        let triangle: DMatrix<f64> = all.view((0, 0), (size, size)).into();
        let right: DVector<f64> = all.view((0, size), (size, 1)).column(0).into();
        let step = triangle.solve_upper_triangular(&right)?;
        (step.iter().all(|step| step.is_finite())).then_some((step, triangle))
    }

    /// R⁻¹ of the triangle with columns of length one, which gives (RᵀR)⁻¹, and the lengths that they had.
    fn inverse(&self) -> Result<(DMatrix<f64>, Vec<f64>), NoFit> {
        let mut triangle = self.triangle.clone();
        // Reflections keep the lengths of columns.
        let lengths: Vec<f64> = triangle.column_iter().map(|column| column.norm()).collect();
        if lengths.iter().any(|length| *length <= 0.0 || !length.is_finite()) {
            return Err(NoFit::Undetermined);
        }
        for (mut column, length) in triangle.column_iter_mut().zip(&lengths) {
            column.unscale_mut(*length);
        }
        let diagonal = triangle.diagonal().abs();
        if diagonal.min() < 1e-12 * diagonal.max() {
            return Err(NoFit::Undetermined);
        }
        let size = lengths.len();
        let inverse = triangle.solve_upper_triangular(&DMatrix::identity(size, size));
        Ok((inverse.ok_or(NoFit::Undetermined)?, lengths))
    }

    /// How much less the sum of squares is behind a step, as the derivatives foresee it.
    fn gain(&self, step: &DVector<f64>) -> f64 {
        self.right.norm_squared() - (&self.right - &self.triangle * step).norm_squared()
    }

    /// How much less it would be behind the whole step without damping: the part of the residuals that the derivatives reach.
    fn promised(&self) -> f64 {
        self.right.norm_squared()
    }
}

impl Fit {
    /// Half the width of the interval of a parameter at a confidence, by Student's distribution.
    #[must_use]
    pub fn half_width(&self, parameter: usize, confidence: f64) -> f64 {
        student_t(f64::midpoint(1.0, confidence), self.freedom) * self.covariance[parameter][parameter].sqrt()
    }

    /// Derivative of each residual by a parameter.
    #[must_use]
    pub fn slopes(&self, parameter: usize) -> &[f64] {
        let count = self.residuals.len();
        &self.jacobian.as_slice()[parameter * count..(parameter + 1) * count]
    }

    /// The covariance of the parameters for errors of the residuals with covariance `Σ`, from `JᵀΣJ`: `(JᵀJ)⁻¹ JᵀΣJ (JᵀJ)⁻¹`.
    #[must_use]
    pub fn propagated(&self, middle: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let variance = self.deviation * self.deviation;
        let bread: Vec<Vec<f64>> = self
            .covariance
            .iter()
            .map(|row| row.iter().map(|value| value / variance).collect())
            .collect();
        multiplied(&multiplied(&bread, middle), &bread)
    }

    /// The covariance where residuals hang together over a time: sums over up to `lags` neighbours, weighted by Bartlett's triangle.
    ///
    /// # Source
    /// [newey-west-1987].
    #[must_use]
    pub fn robust_covariance(&self, lags: usize) -> Vec<Vec<f64>> {
        let size = self.parameters.len();
        let count = self.residuals.len();
        let scores: Vec<Vec<f64>> = self
            .jacobian
            .column_iter()
            .map(|column| {
                column
                    .iter()
                    .zip(&self.residuals)
                    .map(|(slope, left)| slope * left)
                    .collect()
            })
            .collect();
        let mut middle = vec![vec![0.0; size]; size];
        for lag in 0..=lags.min(count - 1) {
            let weight = 1.0 - lag as f64 / (lags as f64 + 1.0);
            let pair = |one: usize, other: usize| -> f64 {
                sum_of([&scores[one][lag..], &scores[other]], |[late, early]| {
                    late * early
                })
            };
            for (one, row) in middle.iter_mut().enumerate() {
                for (other, cell) in row.iter_mut().enumerate() {
                    let back = if lag > 0 { pair(other, one) } else { 0.0 };
                    *cell += weight * (pair(one, other) + back);
                }
            }
        }
        let scale = count as f64 / self.freedom;
        self.propagated(&middle)
            .into_iter()
            .map(|row| row.into_iter().map(|value| value * scale).collect())
            .collect()
    }
}

/// The quantile of Student's distribution; with very many degrees of freedom that is the normal one.
fn student_t(share: f64, freedom: f64) -> f64 {
    StudentsT::new(0.0, 1.0, freedom.clamp(1.0, 1e7)).map_or(f64::NAN, |student| student.inverse_cdf(share))
}

fn multiplied(one: &[Vec<f64>], other: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let size = one.len();
    let cell = |row: usize, column: usize| (0..size).map(|k| one[row][k] * other[k][column]).sum();
    (0..size)
        .map(|row| (0..size).map(|column| cell(row, column)).collect())
        .collect()
}

impl Place {
    /// The fit here, from the factor of this very place.
    fn finish(self, factor: &Factor, scale: &[f64]) -> Result<Fit, NoFit> {
        let (count, size) = self.jacobian.shape();
        let freedom = (count - size) as f64;
        let variance = self.sum / freedom;
        let (inverse, lengths) = factor.inverse()?;
        let product = &inverse * inverse.transpose();
        let norms: Vec<f64> = lengths
            .iter()
            .zip(scale)
            .map(|(length, scale)| length / scale)
            .collect();
        let cell = |one: usize, other: usize| variance * product[(one, other)] / (norms[one] * norms[other]);
        let covariance = (0..size)
            .map(|one| (0..size).map(|other| cell(one, other)).collect())
            .collect();
        Ok(Fit {
            parameters: self.parameters,
            covariance,
            sum_of_squares: self.sum,
            deviation: variance.sqrt(),
            freedom,
            residuals: self.residuals,
            jacobian: self.jacobian,
        })
    }
}
