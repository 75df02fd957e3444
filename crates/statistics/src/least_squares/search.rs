//! The way of a fit: steps within a region of trust, derivatives taken with more care near rest.

use nalgebra::DVector;

use super::factor::{Factor, Place};
use super::slopes::Told;
use super::{Model, NoFit};
use crate::sums::squares;

/// The way of a fit.
pub(super) struct Search<M> {
    model: Told<M>,
    /// The size of each parameter.
    pub scale: Vec<f64>,
    pub at: Place,
    pub factor: Factor,
    /// How far the derivatives are trusted, in scaled parameters.
    pub trusted: f64,
    /// Steps tried so far.
    tried: u32,
    /// Steps in turn that gained hardly anything.
    quiet: u32,
    /// What the step before the last was foreseen to gain.
    foreseen: f64,
    /// Whether parameters are scaled by what they do to the residuals, no more by their size.
    scaled_by_slopes: bool,
    /// Whether differences are taken to both sides.
    central: bool,
    trial: Vec<f64>,
}

/// What a step led to.
pub(super) enum Went {
    On,
    ToRest,
}

impl<M: Model> Search<M> {
    pub fn from(model: M, start: &[f64], count: usize) -> Result<Self, NoFit> {
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
            tried: 0,
            quiet: 0,
            foreseen: f64::INFINITY,
            scaled_by_slopes: false,
            central: false,
            trial: vec![0.0; count],
            model,
            scale,
            at,
        })
    }

    /// Takes a scaled step, where it leads down.
    pub fn take(&mut self, rest: f64, step: &DVector<f64>) -> Went {
        let moved = self.at.parameters.iter().zip(step.iter()).zip(&self.scale);
        let next: Vec<f64> = moved.map(|((own, step), scale)| own - step * scale).collect();
        self.model.model.residuals(&next, &mut self.trial);
        let reached = squares(&self.trial);
        let foreseen = self.factor.gain(step);
        self.tried += 1;
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
        let before = std::mem::replace(&mut self.foreseen, foreseen);
        if reached.is_finite() && reached <= self.at.sum {
            // At this rate the next step is foreseen to gain nothing: derivatives behind this one are those before it.
            let (promised, nothing) = (self.factor.promised(), rest * self.at.sum);
            let is_slight = promised <= SLIGHT * nothing && promised * (promised / before) <= nothing;
            if is_slight && (self.central || self.factor.apart() >= APART) {
                self.go(next, reached);
                return Went::ToRest;
            }
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

    /// To a place whose residuals were just computed.
    fn go(&mut self, next: Vec<f64>, reached: f64) {
        self.at.parameters = next;
        std::mem::swap(&mut self.at.residuals, &mut self.trial);
        self.at.sum = reached;
    }

    /// At the end of a step that led down.
    fn arrive(&mut self, rest: f64, next: Vec<f64>, reached: f64) -> Went {
        // Two quiet steps in turn: one may be quiet by its shortness alone.
        let gained = (self.at.sum - reached) / self.at.sum.max(f64::MIN_POSITIVE);
        self.quiet = if gained < rest { self.quiet + 1 } else { 0 };
        self.go(next, reached);
        self.look(self.central || gained < NEAR || reached == 0.0);
        if self.tried >= LONG && !self.scaled_by_slopes && !self.central {
            self.scale_by_slopes();
        }
        while self.quiet >= 2 || self.factor.promised() <= rest * self.at.sum {
            if self.central {
                return Went::ToRest;
            }
            self.look(true);
        }
        Went::On
    }

    /// A fit that is long on its way follows a narrow valley, across which one parameter moves and along which others do: then each is scaled by
    /// what moves the residuals as much as they are now, so that the region of trust is as narrow as the valley, and as long.
    fn scale_by_slopes(&mut self) {
        self.scaled_by_slopes = true;
        let size = self.at.sum.sqrt();
        let count = self.at.residuals.len();
        let columns = self.at.jacobian.as_slice().chunks_exact(count);
        let mut longer = 0.0;
        for ((scale, column), own) in self.scale.iter_mut().zip(columns).zip(&self.at.parameters) {
            let slope = squares(column).sqrt();
            if slope > 0.0 {
                let most = if *own == 0.0 { 1.0 } else { own.abs() };
                let new = (size / slope).clamp(1e-6 * most, 1e3 * most);
                longer += (*scale / new).ln();
                *scale = new;
            }
        }
        // As long as before, in the mean of the parameters.
        self.trusted *= (longer / self.scale.len() as f64).exp();
        self.factor = Factor::of(&self.at, &self.scale);
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

/// The least share of a column of derivatives that the others do not make up, for differences to one side (good to some 10⁻⁸) to leave a parameter
/// within a thousandth of its standard error.
const APART: f64 = 0.05;

/// So many steps are a long way. Of the 54 runs of the published sets any number from 10 to 40 leads all home.
const LONG: u32 = 25;

/// Where all that the derivatives promise is no more than so many times what counts as rest, the step there may be the last.
const SLIGHT: f64 = 1e5;

/// The share gained by a step below which derivatives are taken with care.
const NEAR: f64 = 1e-10;
