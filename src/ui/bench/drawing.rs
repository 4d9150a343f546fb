//! The layout that is drawn: laid out anew when a box covers more or fewer metres than it was laid out for.

use std::sync::Arc;

use egui::Pos2;

use super::{
    ready::Ready,
    sheet::Selected,
    view::{Chosen, View},
};
use crate::{
    app::Model,
    drawing::{END_ROOM_M, Harness, layout},
};

/// Points that the end of a branch takes past the far point of its connector: the box of a sensor and a little air.
const END: f64 = 50.0;
/// Rooms are rounded up to steps of this factor, so that zooming does not shift lanes at every turn of the wheel.
const STEP: f64 = 1.04;

/// The layout and what it was made for.
#[derive(Clone, Debug)]
pub struct Drawing {
    base: Arc<Harness>,
    room: f64,
    harness: Arc<Harness>,
    ready: Ready,
}

impl Drawing {
    /// The model's own layout.
    pub fn new(model: &Model) -> Self {
        Self {
            base: Arc::clone(&model.harness),
            room: END_ROOM_M,
            ready: Ready::new(model, &model.harness),
            harness: Arc::clone(&model.harness),
        }
    }

    /// The layout to draw.
    pub fn harness(&self) -> &Arc<Harness> {
        &self.harness
    }

    /// What the drawing of this frame needs.
    pub fn ready(&self) -> &Ready {
        &self.ready
    }

    /// Follows the sketch and the answer. Answers whether another sketch has come in its place, of which all should be in sight.
    pub fn follow(&mut self, model: &Model) -> bool {
        if Arc::ptr_eq(&self.base, &model.harness) {
            self.ready.follow(model, &self.harness);
            return false;
        }
        self.base = Arc::clone(&model.harness);
        self.harness = Arc::new(layout(&model.job.circuit, self.room));
        self.ready.follow(model, &self.harness);
        // Any change by hand leaves a step that can be taken back.
        model.history.undo_name().is_none()
    }

    /// What to choose so that the sheet is `factor` times as large and the selection stays where it is.
    pub fn larger(&self, model: &Model, view: &View, factor: f32) -> Chosen {
        view.zoomed(factor, self.chosen_at(model, view), &self.harness)
    }

    /// Where what is chosen lies on the screen, if it is in sight; else the middle of the sheet.
    fn chosen_at(&self, model: &Model, view: &View) -> Pos2 {
        let choice = &model.selection;
        let part = choice.part.as_ref().and_then(|id| {
            let along = || Some(self.harness.run(id)?.at(0.5));
            self.harness.part(id).map(|part| part.at).or_else(along)
        });
        let point = choice.point.as_ref();
        let place = part.or_else(|| self.harness.place(point?));
        let seen = |at: &Pos2| view.rect.contains(*at);
        let at = place.map(|place| view.at(place)).filter(seen);
        at.unwrap_or(view.rect.center())
    }

    /// What to choose so that these things are in sight.
    pub fn showing(&self, view: &View, chosen: &Chosen, things: &[Selected]) -> Chosen {
        let harness = &self.harness;
        let place = |thing: &Selected| match thing {
            Selected::Point(point) => harness.place(point),
            Selected::Part(id) => {
                let along = || Some(harness.run(id)?.at(0.5));
                harness.part(id).map(|part| part.at).or_else(along)
            }
        };
        let places: Vec<Pos2> = (things.iter().filter_map(place))
            .map(|place| view.at(place))
            .collect();
        view.showing(chosen, harness, &places)
    }

    /// Follows the zoom of the last frame; `face` is the distance of a connector's far point. Answers whether the
    /// layout has changed.
    pub fn zoomed(&mut self, model: &Model, view: &View, face: f32) -> bool {
        let room = room(view.scale, face);
        if (room - self.room).abs() < 1e-9 || !Arc::ptr_eq(&self.base, &model.harness) {
            return false;
        }
        self.room = room;
        self.harness = Arc::new(layout(&model.job.circuit, room));
        self.ready.follow(model, &self.harness);
        true
    }
}

/// Metres that the end of a branch covers at so many points per metre, rounded up.
fn room(scale: f32, face: f32) -> f64 {
    let metres = (END + f64::from(face)) / f64::from(scale.max(0.01));
    let steps = (metres / END_ROOM_M).ln() / STEP.ln();
    END_ROOM_M * STEP.powf(steps.ceil())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_room_holds_the_end_of_a_branch_and_changes_by_steps() {
        for scale in [10.0, 76.0, 113.0, 400.0] {
            let metres = room(scale, 22.0) * f64::from(scale);
            assert!((72.0..75.0).contains(&metres), "{scale}: {metres}");
        }
        assert!((room(100.0, 22.0) - room(100.5, 22.0)).abs() < 1e-9);
    }
}
