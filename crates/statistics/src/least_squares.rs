//! Nonlinear least squares: parameters at which the squares of residuals are least, with their covariance.
//!
//! Levenberg's and Marquardt's method, damped so far that no step leaves the region in which the last ones were well foreseen; each step solves the damped
//! linear problem by Householder's reflections, never by normal equations, which would halve the digits. Parameters are scaled by the size of their start, and by
//! their derivatives only where the way gets long: done from the first step, as is usual, that does not come to rest on one of the sets it is held against.

mod factor;
mod fit;
mod search;
mod slopes;

pub use self::fit::Fit;
use self::search::{Search, Went};

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
