//! Dragging a part along its lane: the wire by which the feed reaches it becomes longer or shorter.

use egui::{Id, Response, Ui};

use super::{
    sheet::Sheet,
    view::{Chosen, View},
};
use crate::{
    app::{Command, Sketch},
    ui::act::Act,
};

/// Lengths go by steps of a centimetre, metres.
const STEP: f64 = 0.01;
/// Longest wire that a drag makes, metres.
const LONGEST: f64 = 100.0;

/// A drag that has begun.
#[derive(Clone, Debug, PartialEq)]
struct Drag {
    wire: String,
    length: f64,
    moved: f32,
    /// The sheet was fitted before and is fitted again afterwards; meanwhile it keeps still.
    fitted: bool,
}

fn drag_id() -> Id {
    Id::unique("drag of a part")
}

/// Follows a drag of a part.
pub fn drag_ui(
    ui: &Ui,
    sheet: &Sheet<'_>,
    view: &View,
    chosen: &Chosen,
    part: &str,
    response: &Response,
    acts: &mut Vec<Act>,
) {
    if response.drag_started() {
        let Some((wire, length)) = leading_to(sheet, part) else {
            return;
        };
        let fitted = chosen.piece.is_none();
        let drag = Drag {
            wire,
            length,
            moved: 0.0,
            fitted,
        };
        ui.data_mut(|data| data.insert_temp(drag_id(), drag));
        acts.push(Act::Look(Chosen {
            piece: Some((view.left, view.scale)),
            ..*chosen
        }));
        return;
    }
    let Some(mut drag) = ui.data(|data| data.get_temp::<Drag>(drag_id())) else {
        return;
    };
    if response.dragged() {
        let by = response.drag_delta().x;
        drag.moved += by;
        if by.abs() > 0.0 {
            let length = dragged(drag.length, f64::from(drag.moved / view.scale));
            acts.push(Sketch::SetLength(drag.wire.clone(), Some(length)).into());
        }
        ui.data_mut(|data| data.insert_temp(drag_id(), drag));
    } else if response.drag_stopped() {
        ui.data_mut(|data| data.remove::<Drag>(drag_id()));
        acts.push(Act::Do(Command::EndGesture));
        if drag.fitted {
            acts.push(Act::Look(Chosen::default()));
        }
    }
}

/// A length after a drag of so many metres, in whole steps.
fn dragged(length: f64, by: f64) -> f64 {
    let steps = ((length + by) / STEP).round().max(1.0);
    (steps * STEP).min(LONGEST)
}

/// The wire that leads to a part from the module, and its length as drawn; none where it is off scale.
fn leading_to(sheet: &Sheet<'_>, part: &str) -> Option<(String, f64)> {
    let own = sheet.load(part).map(|load| load.feed.part.clone());
    let ends_here = |wire: &crate::circuit::Wire| {
        let at =
            |point: &crate::circuit::Point| point.part == part || own.as_ref() == Some(&point.part);
        // The far end of a feed's wire lies farther along the metres.
        let place = |point| sheet.harness.place(point).map(|place| place.x);
        let (from, to) = (place(&wire.from)?, place(&wire.to)?);
        (at(&wire.to) && to >= from || at(&wire.from) && from >= to).then_some(())
    };
    sheet.harness.runs.iter().find_map(|run| {
        let wire = sheet.circuit.wires.get(run.wire)?;
        ends_here(wire)?;
        (run.scale == crate::drawing::Scale::True).then(|| (run.id.clone(), run.length))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drag_moves_by_whole_centimetres_and_keeps_a_wire_a_wire() {
        assert!((dragged(1.40, 0.304) - 1.70).abs() < 1e-9);
        assert!((dragged(1.40, -9.0) - 0.01).abs() < 1e-9);
        assert!((dragged(1.40, 1e6) - 100.0).abs() < 1e-9);
    }
}
