//! Weighing faults by the readings: `lower` makes a numbered network of circuit and log, `candidate` lists every single
//! fault, `cluster` puts together what gross readings cannot tell apart, `search` finds what explains the readings, `posterior`
//! makes probabilities of it, and `outlook` says what each point should read then.
//!
//! The search asks `predict` for readings and how they lean on everything; that asks `solve` for supply regimes and electronic
//! loads, and `strand` for elements that carry one current. `weigh` fits sizes and spreads, `robust` allows for mistaken
//! readings, `unknown` for connectors of which nobody knows. `gauss` and `union` are the tools.

pub mod candidate;
pub mod cluster;
pub mod gauss;
pub mod lower;
pub mod narrowed;
pub mod outlook;
pub mod posterior;
pub mod predict;
pub mod robust;
pub mod search;
pub mod solve;
pub mod strand;
pub mod union;
pub mod unknown;
pub mod weigh;
