//! The layout that is drawn: laid out anew when a box covers more or fewer metres than it was laid out for.

use std::sync::Arc;

use super::view::View;
use crate::{
    app::Model,
    drawing::{END_ROOM_M, Harness, layout},
};

/// Points that the end of a branch takes: half a connector, its far point, the box of a sensor and a little air.
const END: f64 = 90.0;
/// Rooms are rounded up to steps of this factor, so that zooming does not shift lanes at every turn of the wheel.
const STEP: f64 = 1.2;

/// The layout and what it was made for.
#[derive(Clone, Debug)]
pub struct Drawing {
    base: Arc<Harness>,
    room: f64,
    harness: Arc<Harness>,
}

impl Drawing {
    /// The model's own layout.
    pub fn new(model: &Model) -> Self {
        Self {
            base: Arc::clone(&model.harness),
            room: END_ROOM_M,
            harness: Arc::clone(&model.harness),
        }
    }

    /// The layout to draw.
    pub fn harness(&self) -> &Arc<Harness> {
        &self.harness
    }

    /// Follows the sketch.
    pub fn follow(&mut self, model: &Model) {
        if !Arc::ptr_eq(&self.base, &model.harness) {
            self.base = Arc::clone(&model.harness);
            self.harness = Arc::new(layout(&model.job.circuit, self.room));
        }
    }

    /// Follows the zoom of the last frame. Answers whether the layout has changed.
    pub fn zoomed(&mut self, model: &Model, view: &View) -> bool {
        let room = room(view.scale);
        if (room - self.room).abs() < 1e-9 || !Arc::ptr_eq(&self.base, &model.harness) {
            return false;
        }
        self.room = room;
        self.harness = Arc::new(layout(&model.job.circuit, room));
        true
    }
}

/// Metres that the end of a branch covers at so many points per metre, rounded up.
fn room(scale: f32) -> f64 {
    let metres = END / f64::from(scale.max(0.01));
    let steps = (metres / END_ROOM_M).ln() / STEP.ln();
    END_ROOM_M * STEP.powf(steps.ceil())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_room_holds_the_end_of_a_branch_and_changes_by_steps() {
        for scale in [10.0, 76.0, 113.0, 400.0] {
            let metres = room(scale) * f64::from(scale);
            assert!((END..END * 1.3).contains(&metres), "{scale}: {metres}");
        }
        assert!((room(100.0) - room(101.0)).abs() < 1e-9);
    }
}
