//! Naming a part on the drawing itself: what is typed there, and why it was not taken.

use super::{
    command::Command,
    model::Model,
    sketch::{PartData, Sketch},
    update::try_change,
};

/// A part that is being named.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Naming {
    /// Its designation so far.
    pub part: String,
    /// The designation as typed.
    pub designation: String,
    /// What people call it, as typed; none for a part that has no such name.
    pub called: Option<String>,
    /// Why it was not taken, to stand beside it.
    pub error: Option<String>,
}

/// A step of naming a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Name {
    /// Begins with a part of the sketch.
    Start(String),
    /// Replaces the designation as typed.
    Designation(String),
    /// Replaces what people call it, as typed.
    Called(String),
    /// Takes it over.
    Take,
    /// Leaves it as it was.
    Leave,
}

/// Carries a step out.
pub(super) fn name(model: &mut Model, step: Name) {
    match step {
        Name::Start(id) => {
            let part = PartData::of(&model.job.circuit, &id);
            model.naming = part.map(|part| Naming {
                called: part.called().map(str::to_owned),
                designation: id.clone(),
                part: id,
                error: None,
            });
        }
        Name::Leave => model.naming = None,
        Name::Take => take(model),
        Name::Designation(text) => {
            if let Some(naming) = &mut model.naming {
                naming.designation = text;
                naming.error = None;
            }
        }
        Name::Called(text) => {
            if let Some(naming) = &mut model.naming {
                naming.called = Some(text);
                naming.error = None;
            }
        }
    }
}

/// What was chosen stays chosen under its new designation.
pub(super) fn follow(model: &mut Model, old: &str, new: &str) {
    let follow = |id: &mut String| {
        if id == old {
            new.clone_into(id);
        }
    };
    let choice = &mut model.selection;
    let points = [&mut choice.point, &mut model.wiring].into_iter().flatten();
    points.for_each(|point| follow(&mut point.part));
    let entry = &mut model.entry;
    let black = [Some(&mut entry.black), entry.black_before.as_mut()];
    let black = black.into_iter().flatten();
    black.for_each(|point| follow(&mut point.part));
    choice.part.iter_mut().for_each(follow);
    if choice.many.remove(old) {
        choice.many.insert(new.to_owned());
    }
}

/// One step of the history for both; a refusal stays beside the fields.
fn take(model: &mut Model) {
    let Some(naming) = model.naming.clone() else {
        return;
    };
    let command = Command::Sketch(Sketch::Rename {
        old: naming.part,
        new: naming.designation.trim().to_owned(),
        called: naming.called.map(|called| called.trim().to_owned()),
    });
    match try_change(model, command) {
        Ok(()) => model.naming = None,
        Err(refusal) => {
            if let Some(naming) = &mut model.naming {
                naming.error = Some(refusal.sentence());
            }
        }
    }
}
