//! Tags at points: what it reads and what it should read. One that has no room is shortened, then lies on wires; if
//! there is none even so, that is said.

use std::sync::Arc;

use egui::{
    Color32, CornerRadius, Galley, Painter, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, Vec2,
    WidgetInfo, accesskit::Role, pos2, vec2,
};

use super::{
    ground::FOOT,
    harness_card::ZOOM,
    place::{May, Taken},
    sheet::Sheet,
    spot::point_at,
    view::{Chosen, View},
    whose::Sight,
};
use crate::{
    app::view::Tag,
    ui::{act::Act, theme::Theme},
};

/// Distance of a tag from its point, in full and in short.
const CLEAR: (f32, f32) = (26.0, 10.0);
/// Length of a line to a tag in full from which a short one that is nearer does better.
const FAR: f32 = 84.0;
/// Air inside a tag: at both sides together, above and below together.
const AIR: Vec2 = vec2(14.0, 8.0);
const SHORT_AIR: Vec2 = vec2(10.0, 3.0);

/// Points that were read and whose tag had no room, with where they are.
pub type LeftOut<'a> = Vec<(Pos2, &'a Tag)>;

/// A tag as it may be written.
struct Form {
    lines: Vec<Arc<Galley>>,
    air: Vec2,
    clear: f32,
}

impl Form {
    fn new(lines: Vec<Arc<Galley>>, air: Vec2, clear: f32) -> Self {
        Self { lines, air, clear }
    }

    fn size(&self) -> Vec2 {
        let sizes = self.lines.iter().map(|line| line.size());
        sizes.fold(self.air, |all, line| {
            vec2(all.x.max(line.x + self.air.x), all.y + line.y)
        })
    }

    /// Where it has room.
    fn room(&self, taken: &Taken, at: Pos2, may: May) -> Option<Rect> {
        taken.led(at, self.size(), self.clear, (may, &|_| true))
    }
}

/// Draws those tags of points that were read as things stand, and of the chosen point, that pass the test. Answers which
/// had no room, or none to which the line is shorter than `most`.
pub fn tags_ui<'a>(
    sight: &Sight<'a>,
    taken: &mut Taken,
    (most, passes): (f32, impl Fn(&Tag) -> bool),
) -> LeftOut<'a> {
    let Sight {
        painter,
        theme,
        sheet,
        view,
        whose,
    } = *sight;
    let mut tags: Vec<(Pos2, &Tag)> = (sheet.tags.iter())
        .filter(|tag| (tag.reads.is_some() || tag.should_read.is_some()) && passes(tag))
        .filter_map(|tag| Some((point_at(theme, sheet, view, &tag.point)?, tag)))
        .filter(|(at, _)| whose.shows(*at))
        .collect();
    // What matters most has the first choice.
    tags.sort_by_key(|(_, tag)| {
        let point = &tag.point;
        (!sheet.point_selected(point), !sheet.amiss(point))
    });
    tags.retain(|(at, tag)| {
        let amiss = sheet.amiss(&tag.point);
        !tag_ui(painter, theme, (*at, most), tag, amiss, taken)
    });
    tags
}

/// Draws a tag where there is room for it; answers whether there was.
fn tag_ui(
    painter: &Painter,
    theme: &Theme,
    (at, most): (Pos2, f32),
    tag: &Tag,
    amiss: bool,
    taken: &mut Taken,
) -> bool {
    let c = &theme.colour;
    let ink = if amiss { c.suspect_text } else { c.ink };
    let strong = |text: String| painter.layout_no_wrap(text, theme.small_strong(), ink);
    let quiet = |text: String| painter.layout_no_wrap(text, theme.small(), c.muted);
    let reads = tag.reads.as_ref();
    let should = tag.should_read.as_ref();
    let first = reads.map(|text| strong(format!("reads {text}")));
    let second = should.map(|text| quiet(format!("should {text}")));
    let lines = first.into_iter().chain(second).collect();
    let full = Form::new(lines, AIR, CLEAR.0);
    let word = reads.map(|text| strong(text.clone()));
    let word = word.or_else(|| should.map(|text| quiet(format!("should {text}"))));
    let short = Form::new(word.into_iter().collect(), SHORT_AIR, CLEAR.1);
    let within = |most: f32| move |rect: &Rect| at.distance(Taken::end(at, *rect)) < most;
    let shorter = |may, most| {
        let room = short.room(taken, at, may).filter(within(most));
        Some((&short, room?))
    };
    let near = FAR.min(most);
    let found = full.room(taken, at, May::Free).filter(within(near));
    let found = found
        .map(|rect| (&full, rect))
        .or_else(|| shorter(May::Free, near))
        .or_else(|| shorter(May::OnWires, near))
        .or_else(|| shorter(May::Free, most))
        .or_else(|| shorter(May::OnWires, most))
        .or_else(|| shorter(May::Across, most));
    let Some((form, rect)) = found else {
        return false;
    };
    let end = Taken::end(at, rect);
    taken.take_leader(at, end);
    taken.take(rect);
    painter.line_segment([at, end], Stroke::new(1.0, c.muted));
    let edge = if amiss { c.suspect } else { c.ink };
    painter.rect(
        rect,
        CornerRadius::same(3),
        c.sheet,
        Stroke::new(if amiss { 2.0 } else { 1.2 }, edge),
        StrokeKind::Inside,
    );
    let mut y = rect.top() + form.air.y / 2.0;
    for line in &form.lines {
        let x = rect.center().x - line.size().x / 2.0;
        painter.galley(pos2(x, y), Arc::clone(line), Color32::PLACEHOLDER);
        y += line.size().y;
    }
    true
}

/// Points that were read and lie above or below what is in sight, with where they are.
pub fn scrolled_away<'a>(sight: &Sight<'a>) -> LeftOut<'a> {
    let Sight {
        theme,
        sheet,
        view,
        whose,
        ..
    } = *sight;
    let read = sheet.tags.iter().filter(|tag| tag.reads.is_some());
    let placed = read.filter_map(|tag| Some((point_at(theme, sheet, view, &tag.point)?, tag)));
    let beyond = |at: Pos2| view.rect.x_range().contains(at.x) && !whose.shows(at);
    placed.filter(|(at, _)| beyond(*at)).collect()
}

/// Says at the foot of the sheet how many points were read and have no tag; pressing it zooms in on them, or brings the
/// first in sight.
pub fn left_out_ui(
    ui: &Ui,
    theme: &Theme,
    (sheet, view, chosen): (&Sheet<'_>, &View, &Chosen),
    (left_out, away): (&LeftOut<'_>, &LeftOut<'_>),
    acts: &mut Vec<Act>,
) {
    let Some((at, _)) = left_out.first().or(away.first()) else {
        return;
    };
    let c = &theme.colour;
    let tags = |count: usize, one: &str, more: &str| match count {
        1 => format!("1 tag {one}"),
        count => format!("{count} tags {more}"),
    };
    let scroll = "above or below: scroll";
    let (here, there) = (left_out.len(), away.len());
    let no_room = tags(
        here,
        "has no room here: zoom in",
        "have no room here: zoom in",
    );
    let text = match (here, there) {
        (0, there) => tags(there, scroll, scroll),
        (_, 0) => no_room,
        (_, there) => format!("{no_room}; {there} {scroll}"),
    };
    let painter = ui.painter_at(view.rect);
    let word = painter.layout_no_wrap(text.clone(), theme.small_strong(), c.attention_text);
    let size = vec2(word.size().x + 14.0, FOOT - 2.0);
    let corner = view.rect.right_bottom() - vec2(12.0, 1.0);
    let rect = Rect::from_min_max(corner - size, corner);
    let id = ui.scope_id().with("tags without room");
    let response = ui.interact(rect, id, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &text));
    let edge = Stroke::new(1.2, c.attention);
    painter.rect(rect, 3, c.attention_wash, edge, StrokeKind::Inside);
    let place = rect.center() - word.size() / 2.0;
    painter.galley(place, word, c.attention_text);
    if response.clicked() {
        acts.push(Act::Look(if left_out.is_empty() {
            let by = vec2(0.0, view.rect.center().y - at.y);
            view.moved(chosen, by, sheet.harness)
        } else {
            view.zoomed(ZOOM, *at, sheet.harness)
        }));
    }
    response.on_hover_ui(|ui| {
        for (_, tag) in left_out.iter().chain(away) {
            let reads = tag.reads.as_deref().unwrap_or("not read");
            let should = tag.should_read.as_deref().unwrap_or("not known yet");
            ui.label(format!("{}: {reads}, should {should}", tag.point));
        }
    });
}
