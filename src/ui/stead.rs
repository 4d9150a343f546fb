//! Where the window stands: what is remembered of it, and that it is no larger than its screen.

use egui::{Context, Rect, Vec2, ViewportCommand};

use crate::app::settings::WindowPlace;

/// Seconds after the start in which the system says how large the screen and the window's frame are. Later a window that
/// is larger than a screen is meant so.
const START: f64 = 4.0;

/// Where the window stands, once the system has said so; in points at a scale of 100 %, at which it is opened again.
pub fn place(ctx: &Context) -> Option<WindowPlace> {
    let zoom = ctx.zoom_factor();
    ctx.input(|input| {
        let viewport = input.viewport();
        let inside = viewport.inner_rect? * zoom;
        let outer = viewport.outer_rect.map(|outer| outer * zoom);
        Some(WindowPlace {
            at: outer.map(|outer| (outer.left(), outer.top())),
            size: (inside.width(), inside.height()),
            maximised: viewport.maximized.unwrap_or(false),
        })
    })
}

/// At the start, lets a window that is larger than its screen fill the screen instead.
pub fn fit(ctx: &Context, fitted: &mut bool) {
    if *fitted {
        return;
    }
    let (time, screen, outer, inner) = ctx.input(|input| {
        let viewport = input.viewport();
        let rects = (viewport.outer_rect, viewport.inner_rect);
        (input.time, viewport.monitor_size, rects.0, rects.1)
    });
    if time > START {
        *fitted = true;
        return;
    }
    let sizes = screen.zip(outer.zip(inner));
    let Some(inside) = sizes.and_then(|(screen, (outer, inner))| inside(screen, outer, inner))
    else {
        return;
    };
    *fitted = true;
    ctx.send_viewport_cmd(ViewportCommand::InnerSize(inside));
    ctx.send_viewport_cmd(ViewportCommand::Maximized(true));
}

/// The inside that a window with its frame may have on a screen; none where it fits as it is.
fn inside(screen: Vec2, outer: Rect, inner: Rect) -> Option<Vec2> {
    let frame = (outer.size() - inner.size()).max(Vec2::ZERO);
    let over = outer.size() - screen;
    (over.max_elem() > 0.5).then(|| (screen - frame).min(inner.size()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{RawInput, pos2, vec2};

    #[test]
    fn what_is_remembered_of_the_window_does_not_hang_on_the_scale() {
        let ctx = Context::default();
        ctx.set_zoom_factor(1.25);
        let mut input = RawInput::default();
        let viewport = input.viewports.entry(input.viewport_id).or_default();
        viewport.inner_rect = Some(Rect::from_min_size(pos2(8.0, 24.0), vec2(1024.0, 640.0)));
        ctx.begin_pass(input);
        let size = place(&ctx).map(|place| place.size);
        ctx.end_pass().textures_delta.clear();
        assert_eq!(size, Some((1280.0, 800.0)));
    }

    #[test]
    fn a_window_with_its_frame_is_no_larger_than_its_screen() {
        let inner = Rect::from_min_size(pos2(1.0, 24.0), vec2(1280.0, 800.0));
        let outer = Rect::from_min_size(pos2(0.0, 0.0), vec2(1282.0, 838.0));
        let laptop = vec2(1280.0, 800.0);
        assert_eq!(inside(laptop, outer, inner), Some(vec2(1278.0, 762.0)));
        assert_eq!(inside(vec2(1920.0, 1080.0), outer, inner), None);
    }
}
