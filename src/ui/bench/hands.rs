//! Hands on the drawing: every point, part and wire can be clicked, reached by keys and found by its name.

use egui::{
    CornerRadius, Event, EventFilter, Id, Key, Modifiers, Rect, Response, Sense, Stroke,
    StrokeKind, Ui, WidgetInfo, accesskit::Role, vec2,
};

use super::{
    drag::drag_ui,
    names::Label,
    naming::rename,
    reach::{next_part, reach_ui, standing},
    sheet::{Selected, Sheet},
    spoken::{hover_words, part_name, part_words, point_words, wire_name},
    spot::{pin_middle, point_at, symbol_rect},
    view::{Chosen, View},
    walk::{beside, centre, is_point, walk},
};
use crate::{
    app::{Bench, Screen},
    drawing::{PartKind, PlacedPart},
    ui::{
        act::Act,
        kit::text_ui,
        theme::{STRONG, Theme},
    },
};

/// Keys that move the choice along the harness.
const WALKING: [Key; 6] = [
    Key::ArrowRight,
    Key::ArrowLeft,
    Key::ArrowDown,
    Key::ArrowUp,
    Key::Home,
    Key::End,
];

/// Lays the clickable places over the drawing; wires first, then parts, points on top.
pub fn hands_ui(
    ui: &Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    chosen: &Chosen,
    acts: &mut Vec<Act>,
) {
    let mut hands = Hands::new(ui, theme, sheet, view);
    hands.wires_ui();
    let handled = hands.parts_ui();
    hands.points_ui();
    acts.append(&mut hands.acts);
    acts.extend(hands.named.iter().map(|id| rename(id)));
    let movable = sheet.caption.is_none();
    for (part, response) in handled.into_iter().filter(|_| movable) {
        drag_ui(ui, sheet, view, chosen, part, &response, acts);
    }
    hands.go_on(chosen, acts);
    hands.carry_out(acts);
}

/// What the hands do in one frame.
struct Hands<'a, 's> {
    ui: &'a Ui,
    theme: &'a Theme,
    sheet: &'a Sheet<'s>,
    view: &'a View,
    /// What is chosen.
    held: Option<Selected>,
    /// Where several that are chosen together are reached on from.
    several: Option<Selected>,
    /// The one place of the drawing that takes part in the Tab order; the arrow keys move on from it.
    holder: Option<Selected>,
    /// Where a key leads.
    next: Option<(Selected, Step)>,
    /// What was clicked, and whether that parts or mates it.
    clicked: Vec<(Selected, bool)>,
    /// What is to be named.
    named: Vec<String>,
    acts: Vec<Act>,
}

impl<'a, 's> Hands<'a, 's> {
    fn new(ui: &'a Ui, theme: &'a Theme, sheet: &'a Sheet<'s>, view: &'a View) -> Self {
        let held = sheet.held();
        // Without a choice the keyboard comes in where the harness begins.
        let lead = sheet.harness.leads.first();
        let first = lead.and_then(|lead| lead.points.first());
        let several = standing(ui, sheet);
        let holder = several.clone().or_else(|| held.clone());
        Self {
            ui,
            theme,
            sheet,
            view,
            held,
            holder: holder.or_else(|| first.cloned().map(Selected::Point)),
            several,
            next: None,
            clicked: Vec::new(),
            named: Vec::new(),
            acts: Vec::new(),
        }
    }

    /// Lays one place over the drawing, where it is in sight or holds the keyboard.
    fn hold(&mut self, what: &Selected, rect: Rect, name: &dyn Fn() -> String) -> Option<Response> {
        let (ui, view) = (self.ui, self.view);
        let rect = rect.intersect(view.rect);
        let holds = self.holder.as_ref() == Some(what);
        if !rect.is_positive() && !holds {
            return None;
        }
        let sense = if holds { Sense::click() } else { Sense::CLICK };
        let sense = match what {
            Selected::Part(id) if self.sheet.part(id).is_some() => sense | Sense::DRAG,
            _ => sense,
        };
        let response = ui.interact(rect, id_of(ui, what), sense);
        let here = self.held.as_ref() == Some(what);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name()));
        // Choosing several by Ctrl or Shift leaves the others chosen.
        let more = ui.input(|input| input.modifiers.command || input.modifiers.shift);
        if response.gained_focus() && !here && !more {
            select(what, &mut self.acts);
        }
        if response.has_focus() && self.several.is_some() {
            let painter = ui.painter_at(view.rect);
            let stroke = Stroke::new(STRONG, self.theme.colour.focus);
            let rect = rect.expand(9.0);
            painter.rect_stroke(rect, CornerRadius::same(8), stroke, StrokeKind::Outside);
        }
        if response.has_focus() {
            self.next = keyed(ui, self.sheet, view, self.theme, what, &response);
        }
        if response.secondary_clicked() {
            select(what, &mut self.acts);
        }
        Some(response)
    }

    fn wires_ui(&mut self) {
        let (theme, sheet, view) = (self.theme, self.sheet, self.view);
        for run in &sheet.harness.runs {
            let Some((a, b)) = run.span() else { continue };
            let rect = Rect::from_two_pos(view.at(a), view.at(b)).expand2(vec2(0.0, 8.0));
            let what = Selected::Part(run.id.clone());
            let name = || wire_name(sheet, &run.id);
            let Some(response) = self.hold(&what, rect, &name) else {
                continue;
            };
            told_ui(theme, sheet, &response, &run.id, &name);
            if response.double_clicked() {
                self.named.push(run.id.clone());
            } else if response.clicked() {
                self.clicked.push((what, false));
            }
        }
    }

    /// Answers what can be dragged.
    fn parts_ui(&mut self) -> Vec<(&'a str, Response)> {
        let (theme, sheet, view) = (self.theme, self.sheet, self.view);
        let mut handled = Vec::new();
        let parts = &sheet.harness.parts;
        for part in parts.iter().filter(|part| !is_point(part.kind)) {
            let what = Selected::Part(part.id.clone());
            let connector = part.kind == PartKind::Connector;
            let name = || part_name(sheet, &part.id, part.kind);
            let rect = symbol_rect(theme, sheet, view, part);
            let rect = if connector {
                grown(rect, theme, view)
            } else {
                rect
            };
            if let Some(response) = self.hold(&what, rect, &name) {
                told_ui(theme, sheet, &response, &part.id, &name);
                if response.double_clicked() && !connector {
                    self.named.push(part.id.clone());
                } else if response.clicked() {
                    self.clicked.push((what, connector));
                }
                handled.push((part.id.as_str(), response));
            }
            if connector {
                self.pins_ui(part, &name);
            }
        }
        handled
    }

    /// The other pins of a connector, each on its lane.
    fn pins_ui(&mut self, part: &PlacedPart, name: &dyn Fn() -> String) {
        let (ui, view) = (self.ui, self.view);
        for pin in part.pins.iter().skip(1) {
            let size = vec2(30.0, 2.0 * view.bracket());
            let rect = Rect::from_center_size(pin_middle(pin, view), size);
            let id = ui.scope_id().with(("pin", &part.id, pin.pin));
            let response = ui.interact(grown(rect, self.theme, view), id, Sense::CLICK);
            let name = || format!("{}, at its pin {}", name(), pin.pin);
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name()));
            if response.clicked() {
                self.clicked.push((Selected::Part(part.id.clone()), true));
            }
        }
    }

    fn points_ui(&mut self) {
        let (theme, sheet, view) = (self.theme, self.sheet, self.view);
        for point in sheet.harness.points.keys() {
            let Some(at) = point_at(theme, sheet, view, point) else {
                continue;
            };
            let reach = theme.size.reach;
            let what = Selected::Point(point.clone());
            let rect = Rect::from_center_size(at, vec2(2.0 * reach, 2.0 * view.hand(reach)));
            let Some(response) = self.hold(&what, rect, &|| point_words(sheet, point)) else {
                continue;
            };
            if response.clicked() {
                self.clicked.push((what, false));
            }
            response.on_hover_ui(|ui| {
                let words = hover_words(sheet, point);
                text_ui(ui, &words, theme.label(), theme.colour.ink);
            });
        }
    }

    /// Goes where a key leads, and brings that in sight.
    fn go_on(&mut self, chosen: &Chosen, acts: &mut Vec<Act>) {
        let (ui, sheet, view) = (self.ui, self.sheet, self.view);
        let Some((next, step)) = self.next.take() else {
            return;
        };
        match step {
            Step::Alone => select(&next, acts),
            Step::Reach { along } => {
                if let Some(here) = &self.holder {
                    reach_ui(ui, sheet, &walk(sheet), here, &next, along, acts);
                }
            }
        }
        // Asked for at the end: a place that cannot hold the keyboard yet would give it away again.
        ui.memory_mut(|memory| memory.request_focus(id_of(ui, &next)));
        let by = centre(sheet, view, self.theme, &next).map(|at| into_sight(view, at));
        if let Some(by) = by.filter(|by| *by != egui::Vec2::ZERO) {
            acts.push(Act::Look(view.moved(chosen, by, sheet.harness)));
        }
    }

    /// What follows from the clicks.
    fn carry_out(self, acts: &mut Vec<Act>) {
        let also = self.ui.input(|input| input.modifiers.command);
        for (what, toggles) in self.clicked {
            if also {
                acts.push(Screen::SelectAlso(what.part().to_owned()).into());
                continue;
            }
            // A click on a connector parts or mates it and leaves the rest of the page as it is.
            if !toggles {
                select(&what, acts);
            }
            match what {
                Selected::Part(id) if toggles => acts.push(Bench::TogglePlug(id).into()),
                Selected::Point(point) => acts.push(Act::ReadAt(point)),
                Selected::Part(_) => {}
            }
        }
    }
}

/// The words that name parts: a click chooses the part, a second one names it.
pub fn labels_ui(ui: &Ui, sheet: &Sheet<'_>, labels: &[Label], acts: &mut Vec<Act>) {
    for label in labels {
        let id = ui.scope_id().with(("label", &label.part));
        let response = ui.interact(label.rect.expand(2.0), id, Sense::CLICK);
        let name = format!("Name of {}", label.part);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        if response.double_clicked() {
            acts.push(rename(&label.part));
        } else if response.clicked() && sheet.naming.is_none() {
            let also = ui.input(|input| input.modifiers.command);
            let id = label.part.clone();
            acts.push(if also {
                Screen::SelectAlso(id).into()
            } else {
                Screen::SelectPart(Some(id)).into()
            });
        }
    }
}

/// Tells the pointer what a part is.
fn told_ui(
    theme: &Theme,
    sheet: &Sheet<'_>,
    response: &Response,
    id: &str,
    name: &dyn Fn() -> String,
) {
    if response.hovered() {
        let words = part_words(sheet, &name(), id);
        response.clone().on_hover_ui(|ui| {
            text_ui(ui, &words, theme.label(), theme.colour.ink);
        });
    }
}

/// Chooses a thing; a point lets go of the part, so that the part it belongs to is what is shown beside.
fn select(what: &Selected, acts: &mut Vec<Act>) {
    match what {
        Selected::Part(id) => acts.push(Screen::SelectPart(Some(id.clone())).into()),
        Selected::Point(point) => {
            acts.push(Screen::SelectPart(None).into());
            acts.push(Screen::SelectPoint(Some(point.clone())).into());
        }
    }
}

fn grown(rect: Rect, theme: &Theme, view: &View) -> Rect {
    let half = theme.size.reach - rect.width() / 2.0;
    let high = view.hand(rect.height() / 2.0 + 4.0);
    let size = vec2(rect.width() + 2.0 * half.max(0.0), 2.0 * high);
    Rect::from_center_size(rect.center(), size)
}

fn id_of(ui: &Ui, what: &Selected) -> Id {
    match what {
        Selected::Part(id) => ui.scope_id().with(("part", id)),
        Selected::Point(point) => ui.scope_id().with(("point", point)),
    }
}

/// What a key does with what was chosen before.
#[derive(Clone, Copy, Debug)]
enum Step {
    /// Lets go of it.
    Alone,
    /// Keeps it; `along` takes everything between as well.
    Reach { along: bool },
}

/// Where a key leads from here.
fn keyed(
    ui: &Ui,
    sheet: &Sheet<'_>,
    view: &View,
    theme: &Theme,
    here: &Selected,
    response: &Response,
) -> Option<(Selected, Step)> {
    let filter = EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    // By what was held down as a key was struck: by now that may have been let go.
    let struck = |wanted: Key, held: fn(&Modifiers) -> bool| {
        let is = |event: &Event| matches!(event, Event::Key { key, pressed: true, modifiers, .. } if *key == wanted && held(modifiers));
        ui.input(|input| input.events.iter().any(is))
    };
    let pressed = |key: Key| struck(key, Modifiers::is_none);
    if !ui.input(|input| WALKING.iter().any(|key| input.key_pressed(*key))) {
        return None;
    }
    let walk = &walk(sheet)[..];
    let reaching = |key: &Key| struck(*key, Modifiers::shift_only);
    let several = sheet.caption.is_none();
    if let Some(key) = WALKING.into_iter().find(|key| several && reaching(key)) {
        let across = match key {
            Key::ArrowDown => Some(1.0),
            Key::ArrowUp => Some(-1.0),
            _ => None,
        };
        let next = match across {
            Some(sign) => beside(sheet, view, theme, walk, here, sign),
            None => next_part(walk, here, key),
        };
        let along = across.is_none();
        return next.map(|next| (next.clone(), Step::Reach { along }));
    }
    let index = walk.iter().position(|what| what == here).unwrap_or(0);
    let next = if pressed(Key::ArrowRight) {
        walk.get(index + 1)
    } else if pressed(Key::ArrowLeft) {
        index.checked_sub(1).and_then(|before| walk.get(before))
    } else if pressed(Key::ArrowDown) {
        beside(sheet, view, theme, walk, here, 1.0)
    } else if pressed(Key::ArrowUp) {
        beside(sheet, view, theme, walk, here, -1.0)
    } else if pressed(Key::Home) {
        walk.first()
    } else if pressed(Key::End) {
        walk.last()
    } else {
        None
    };
    let next = next.filter(|next| *next != here)?;
    Some((next.clone(), Step::Alone))
}

/// How far the sheet has to move so that a place is in sight.
fn into_sight(view: &View, at: egui::Pos2) -> egui::Vec2 {
    let seen = view.rect.shrink(40.0);
    seen.clamp(at) - at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_symbol_grows_to_the_reach_of_a_hand() {
        let glove = Theme::new(false, true);
        let rect = Rect::from_center_size(egui::pos2(50.0, 50.0), vec2(30.0, 34.0));
        let view = |pitch: f32| View {
            rect,
            left: 0.0,
            scale: 1.0,
            pitch,
            middle: 0.0,
            end: 0.0,
        };
        assert!(grown(rect, &glove, &view(60.0)).width() >= 44.0);
        assert!(grown(rect, &glove, &view(60.0)).height() > rect.height());
        let close = grown(rect, &glove, &view(14.0));
        assert!(close.height() <= 14.0, "not over the next lane");
    }
}
