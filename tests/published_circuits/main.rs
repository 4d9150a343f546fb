//! Circuits with published answers, solved with this program's own factorisation.
//!
//! Every case carries its source and how far that source was seen. Ideal sources do not exist in nodal analysis on
//! conductances. A source that meets a resistor is written as its Norton equivalent; one that meets several is
//! split, one copy for each (both exact). Where it meets none, it has `STIFF` ohms, and the tolerance allows for it.
//!
//! Short names of the sources:
//! - Lessons: T. R. Kuphaldt, Lessons in Electric Circuits, Volume I "DC".
//! - University Physics: OpenStax, University Physics Volume 2, chapters 9 and 10.

mod locating;
mod meshes;
mod published;
mod textbook;
mod tutorials;
mod university;
