//! Photos and other files of the job: a small picture of each, its caption, and adding more.

use egui::{CornerRadius, Image, Sense, Stroke, StrokeKind, Ui, WidgetInfo, accesskit::Role};

use super::{
    Draft,
    lists::{Happened, cell},
    rows::{cells_ui, lock, remove_ui},
    thumbs::{Thumb, Thumbs},
};
use crate::{
    app::{Model, job::Piece},
    notebook::record::Attachment,
    ui::{
        act::Act,
        dialog::{Dialog, PathAsk},
        kit::{Tone, button_ui, fitted, text_ui},
        theme::{LINE, RADIUS, Theme},
    },
};

/// Room for a small picture.
const FRAME: egui::Vec2 = egui::Vec2::new(144.0, 108.0);

/// The photos.
pub fn photos_ui(
    ui: &mut Ui,
    theme: &Theme,
    (model, thumbs): (&Model, &Thumbs),
    draft: &mut Draft,
    acts: &mut Vec<Act>,
) {
    let c = &theme.colour;
    let mut happened = Happened::default();
    for (index, photo) in draft.record.attachments.iter_mut().enumerate() {
        ui.horizontal(|ui| {
            if model.job.record.is_signed() {
                lock(ui);
            }
            let path = model.photos_at.as_deref();
            let thumb = path.and_then(|path| thumbs.of(path, &photo.sha256));
            thumb_ui(ui, theme, photo, thumb);
            ui.vertical(|ui| {
                let about = format!("{} ({})", photo.name, size(photo.bytes));
                text_ui(ui, &about, theme.body(), c.ink);
                let width = (ui.available_width() - 10.0).clamp(120.0, 520.0);
                let caption = cell("Caption of photo", index + 1, &mut photo.caption, width);
                happened.cells(cells_ui(ui, theme, vec![caption]));
                if remove_ui(ui, theme, &format!("Remove photo {}", index + 1)) {
                    happened.remove = Some(index);
                }
            });
        });
        ui.add_space(4.0);
    }
    if let Some(index) = happened.remove {
        draft.record.attachments.remove(index);
    }
    if draft.record.attachments.is_empty() {
        let words = "None yet. Before and after, with something in them that shows the size.";
        text_ui(ui, words, theme.body(), c.muted);
    }
    ui.horizontal_wrapped(|ui| {
        if button_ui(ui, theme, Tone::Plain, "Add photos", None).clicked() {
            acts.push(Act::Ask(Dialog::path(PathAsk::Photos, String::new())));
        }
        let words = if model.path.is_some() {
            "or drop them on this page"
        } else {
            "or drop them on this page; the job is saved first, since they are kept beside its file"
        };
        text_ui(ui, words, theme.label(), c.muted);
    });
    happened.told(draft, Piece::Photos);
}

fn size(bytes: u64) -> String {
    let thousands = bytes.div_ceil(1000);
    if thousands < 1000 {
        format!("{thousands} kB")
    } else {
        format!("{}.{} MB", thousands / 1000, thousands % 1000 / 100)
    }
}

/// The small picture, or why there is none.
fn thumb_ui(ui: &mut Ui, theme: &Theme, photo: &Attachment, thumb: Option<&Thumb>) {
    let c = &theme.colour;
    let (rect, response) = ui.allocate_exact_size(FRAME, Sense::hover());
    let painter = ui.painter();
    let radius = CornerRadius::same(RADIUS);
    painter.rect(
        rect,
        radius,
        c.band,
        Stroke::new(LINE, c.edge),
        StrokeKind::Inside,
    );
    let words = match thumb {
        Some(Thumb::Picture(texture)) => {
            let inside = rect.shrink(3.0);
            let own = texture.size_vec2();
            let by = (inside.width() / own.x).min(inside.height() / own.y);
            let place = egui::Rect::from_center_size(inside.center(), own * by);
            Image::new(texture).paint_at(ui, place);
            "picture"
        }
        Some(Thumb::None(why)) => why,
        Some(Thumb::Coming) => "being read",
        None => "shown once saved",
    };
    if !matches!(thumb, Some(Thumb::Picture(_))) {
        let galley = fitted(ui, words, theme.small(), c.muted, rect.width() - 12.0);
        let at = rect.center() - galley.size() / 2.0;
        ui.painter().galley(at, galley, c.muted);
    }
    let spoken = format!("Photo {}: {words}", photo.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &spoken));
    response.on_hover_text(spoken);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_told_as_people_say_them() {
        for (bytes, words) in [
            (0, "0 kB"),
            (1, "1 kB"),
            (999_001, "1.0 MB"),
            (2_340_000, "2.3 MB"),
        ] {
            assert_eq!(size(bytes), words);
        }
    }
}
