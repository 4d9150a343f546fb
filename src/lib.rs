//! Pinchpoint: from a sketched feed circuit and a log of meter readings to suspects, and to the next test.
//!
//! Circuit and readings are lowered to networks, solved under every fault, weighed into suspects, turned into
//! advice, and shown. The rooms below stand in that order; each may use only those before it.

pub mod quantity;

pub mod circuit;

pub mod reading;

pub mod network;

pub mod fault;

pub mod infer;

pub mod advise;

pub mod diagnosis;

// The words stand after the findings: they read them and add nothing to them, so the findings need no words.
pub mod explain;

pub mod practice;

// The drawing stands before what writes it: the window puts it on the screen, a report on paper.
pub mod drawing;

pub mod notebook;

// The report stands after the notebook: it prints records and their attachments.
pub mod report;

pub mod cli;

pub mod app;

#[cfg(feature = "gui")]
pub mod ui;
