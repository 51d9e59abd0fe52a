//! Exact choice of what to build: candidates handed over with their spectra, loads and costs, the least costly set that
//! meets every limit, with proof; trade-off fronts. Knows no acoustics of an element and no structure.
//!
//! # How it works
//!
//! 1. Each element of the room takes exactly one of its candidates. What a candidate costs and uses (headroom, floor, load) adds up over
//!    the elements; so does, at every receiver, the energy it lets through. Energies are written as shares of what is allowed there: the
//!    sum over the elements may be at most 1 in every row. A limit in dB(A) is one row, a noise-rating curve a row an octave, a
//!    background a row a band.
//!    What swallows sound where all of it arrives raises what a row may reach instead: that adds up over the elements too.
//! 2. Confidence: the errors of source, way and insulation are a fixed sample of draws, the same for every candidate. A demand holds in a
//!    draw if all its rows do; it is met if all but `may_fail` of the draws hold it. That is the very rule a prediction is judged by, not
//!    an allowance in its place. It is no linear rule; but more energy never helps, so a dominated candidate is never needed.
//! 3. Search: first every candidate is left out with which nothing can hold, all others at their quietest in each draw. Then depth first over the
//!    elements, with a bound from Lagrange multipliers on all rows and limits (a lower bound for any
//!    multipliers), made anew for each candidate of the elements that matter most. A row enters that bound as the mean of the draws round the one that decides at a reference choice: the derivative
//!    of a quantile is the mean under the condition that the quantile is met. It is loosened by `lean_db`; every full set is then held against
//!    all draws. The certificate tells the bound, the gap, the sets held against the draws, and how far the true margin of any of them
//!    lay above the linear one: while that stays below `lean_db`, nothing was cut off. With a single draw the rows are exact and so
//!    is the proof.
//! 4. Of equal cost the simplest: fewest steps, then the earlier candidate. A search runs in one thread and a fixed order: the same answer
//!    everywhere.

pub mod advice;
pub mod dominance;
pub mod front;
pub mod problem;
pub mod question;
pub mod search;

mod lagrange;
mod linear;
mod rows;
mod table;

pub use advice::{Relaxation, Step, next_steps, why_not, why_not_with};
pub use dominance::undominated;
pub use front::{
    Front, FrontPoint, cost_front, cost_front_with, use_front, use_front_in_parts, use_front_with,
};
pub use linear::Linears;
pub use problem::{Candidate, ChooseError, Demand, Element, Limit, Problem};
pub use question::{Asked, Certificate, Choice, Objective, Solved};
pub use search::{solve, solve_with};
