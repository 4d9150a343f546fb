//! What to be careful with at the vehicle: what could hurt somebody on this sketch, and what goes with a way of measuring.

use crate::{
    diagnosis::{Findings, Question},
    explain::cautions,
    reading::{Kind, Lamp},
};

/// What could hurt people on a sketch.
pub fn grave(question: &Question<'_>) -> Vec<String> {
    (cautions(question, &Findings::unanswered(Vec::new())).into_iter())
        .filter(|caution| caution.grave)
        .map(|caution| caution.text)
        .collect()
}

/// What goes with a way of measuring. Common practice, no source.
pub fn measuring(kind: Kind) -> Option<&'static str> {
    Some(match kind {
        Kind::Volts => return None,
        Kind::Ohms => {
            "For ohms the supply is switched off first; it is switched on again for the next volts."
        }
        Kind::Amperes => "The meter goes in series at this point.",
        Kind::Clamp => "The clamp goes around the wire at this point.",
        Kind::Lamp(Lamp::Led) => "From the red lead's point to the black lead.",
        Kind::Lamp(Lamp::Filament) => {
            "On a vehicle a plain lamp never goes on a reference or data line: it draws more than the output can give."
        }
        Kind::Scan => {
            "Choose what is fed. Silence has other reasons too: its bus, its wake-up, a fault of its own."
        }
    })
}
