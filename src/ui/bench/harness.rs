//! The harness, drawn to scale along its metres.

use std::collections::BTreeSet;

use egui::{Painter, Pos2, Rect, Sense, Stroke, Ui, pos2, vec2};

use super::{
    draw::{self, Look, wire_path},
    ground::{FOOT, foot_ui, lane_bar_ui, lanes_ui, metres_ui},
    hands::{hands_ui, labels_ui},
    names::{end_room, load_names_beside_ui, load_names_ui, names_ui, wire_names_ui},
    naming::{naming_ui, no_naming},
    pan::move_ui,
    place::Taken,
    sheet::Sheet,
    spot::{pin_middle, point_at, symbol_rect},
    suspicion::swellings_ui,
    symbols::{points_ui, symbols_ui},
    tag::{left_out_ui, scrolled_away, tags_ui},
    view::{Chosen, View},
    wanted::{happened_ui, wanted_ui, wiring_ui},
    whose::{Sight, Whose},
};
use crate::{
    app::view::Tag,
    circuit::Point,
    drawing::{Group, PartKind, Run, Scale},
    ui::{
        act::Act,
        theme::{LINE, STRONG, Theme},
    },
};

/// Length of the line to a tag from which the tag is placed before the names of parts.
const NEAR: f32 = 70.0;
/// Lanes from which a sheet is crowded.
const CROWDED: usize = 9;

/// Draws the harness into a room of this size and answers the mapping, which the voltage plot shares.
pub fn harness_ui(
    ui: &mut Ui,
    theme: &Theme,
    sheet: &Sheet<'_>,
    chosen: &Chosen,
    size: egui::Vec2,
    acts: &mut Vec<Act>,
) -> View {
    let (rect, ground) = ui.allocate_exact_size(size, Sense::DRAG | Sense::CLICK);
    let view = View::new(rect, sheet.harness, chosen, end_room(ui, theme, sheet));
    let painter = ui.painter_at(rect);
    metres_ui(&painter, theme, &view, rect.y_range());
    let room = sheet_of_words(rect);
    let mut taken = Taken::new(room);
    let whose = Whose::new(theme, sheet, &view, room);
    let sight = &Sight {
        painter: &painter,
        theme,
        sheet,
        view: &view,
        whose: &whose,
    };
    lanes_ui(&painter, theme, sheet, &view, &mut taken);
    swellings_ui(&painter, theme, sheet, &view, &mut taken);
    wires_ui(&painter, theme, sheet, &view, &mut taken);
    legs_ui(&painter, theme, sheet, &view);
    symbols_ui(&painter, theme, sheet, &view, &mut taken);
    points_ui(&painter, theme, sheet, &view, &mut taken);
    let mut labels = Vec::new();
    let urgent = crowded_out(sight, &taken);
    let is_urgent = |tag: &Tag| urgent.contains(&tag.point);
    let mut left_out = tags_ui(sight, &mut taken, (f32::INFINITY, is_urgent));
    names_ui(sight, &mut taken, &mut labels);
    let others = |tag: &Tag| !is_urgent(tag);
    left_out.extend(tags_ui(sight, &mut taken, (f32::INFINITY, others)));
    load_names_beside_ui(sight, &mut taken, &mut labels);
    happened_ui(sight, &mut taken);
    wire_names_ui(sight, &mut taken, &mut labels);
    load_names_ui(sight, &mut taken, &mut labels);
    wanted_ui(&painter, theme, sheet, &view);
    if let Some(from) = sheet.wiring {
        wiring_ui(ui, theme, sheet, &view, from);
    }
    foot_ui(&painter, theme, &view);
    let away = scrolled_away(sight);
    left_out_ui(ui, theme, (sheet, &view, chosen), (&left_out, &away), acts);
    lane_bar_ui(&painter, theme, sheet, &view);
    move_ui(ui, theme, sheet, &view, chosen, &ground, acts);
    hands_ui(ui, theme, sheet, &view, chosen, acts);
    if sheet.caption.is_none() {
        labels_ui(ui, sheet, &labels, acts);
    }
    match sheet.naming {
        Some(naming) => naming_ui(ui, theme, sheet, &view, &labels, naming, acts),
        None => no_naming(ui),
    }
    view
}

/// Points whose tags would find no room near them behind the names of parts: they are placed before those.
fn crowded_out(sight: &Sight<'_>, taken: &Taken) -> BTreeSet<Point> {
    let mut trial = taken.clone();
    let mut painter = sight.painter.clone();
    painter.set_invisible();
    let unseen = &Sight {
        painter: &painter,
        ..*sight
    };
    let mut labels = Vec::new();
    load_names_beside_ui(unseen, &mut trial, &mut labels);
    names_ui(unseen, &mut trial, &mut labels);
    let left_out = tags_ui(unseen, &mut trial, (NEAR, |_| true));
    let points = left_out.into_iter().map(|(_, tag)| tag.point.clone());
    points.collect()
}

/// Where words may stand: not on the foot with the metres.
fn sheet_of_words(rect: Rect) -> Rect {
    let mut room = rect.shrink(2.0);
    room.max.y -= FOOT;
    room
}

fn look(sheet: &Sheet<'_>, run: &Run) -> Look {
    let wire = sheet.circuit.wires.get(run.wire);
    Look {
        colour: wire.and_then(|wire| wire.colour),
        cut_off: wire.is_some_and(|wire| {
            sheet.cut_off.contains(&wire.from) || sheet.cut_off.contains(&wire.to)
        }),
        assumed: run.assumed,
        selected: sheet.part_selected(&run.id),
        off_scale: run.scale == Scale::Pinned && run.group == Group::Feed,
    }
}

/// Whether a wire passes lanes on its way to its own.
fn climbs(run: &Run) -> bool {
    let lanes = || run.corners.iter().map(|place| place.lane);
    lanes()
        .max()
        .zip(lanes().min())
        .is_some_and(|(most, least)| most - least > 1)
}

/// The longest straight piece of a path along the metres.
fn along(path: &[Pos2]) -> Option<[Pos2; 2]> {
    let level = path
        .windows(2)
        .filter(|pair| (pair[0].y - pair[1].y).abs() < 0.5);
    let longest = level.max_by(|a, b| {
        let run = |pair: &[Pos2]| (pair[1].x - pair[0].x).abs();
        run(a).total_cmp(&run(b))
    })?;
    Some([longest[0], longest[1]])
}

fn wires_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View, taken: &mut Taken) {
    let crowded = view.is_tight() && sheet.harness.lanes.len() > CROWDED;
    for run in &sheet.harness.runs {
        let path = wire_path(run, view);
        let around = Rect::from_points(&path).expand(12.0);
        if !around.intersects(view.rect) {
            continue;
        }
        let look = look(sheet, run);
        match along(&path).filter(|_| crowded && climbs(run)) {
            // Side by side, many wires that climb past other lanes would be a wall: a fine line shows the way.
            Some(along) => {
                draw::thread_ui(painter, theme, &path, &look);
                draw::wire_ui(painter, theme, &along, &look);
            }
            None => draw::wire_ui(painter, theme, &path, &look),
        }
        for pair in path.windows(2) {
            taken.take_line(Rect::from_two_pos(pair[0], pair[1]).expand(3.0));
        }
    }
    for stub in &sheet.harness.stubs {
        let loads = sheet
            .part(&stub.owner)
            .filter(|part| part.kind == PartKind::Load);
        if view.is_tight() && loads.is_some() {
            continue;
        }
        let (at, stem) = loads.map_or_else(
            || (view.at(stub.at), 14.0),
            |part| (symbol_rect(theme, sheet, view, part).center_bottom(), 5.0),
        );
        draw::ground_ui(painter, theme, at, stem);
        taken.take(Rect::from_min_max(
            at - vec2(10.0, 0.0),
            at + vec2(10.0, stem + 10.0),
        ));
    }
}

/// Fine lines: a load down to its return lane, and the pins of one housing to each other.
///
/// On a crowded sheet they are drawn for what is chosen only: all at once they would hide the harness.
fn legs_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View) {
    let crowded = sheet.harness.lanes.len() > CROWDED;
    let chosen = |id: &str| {
        let point = sheet.selection.point.as_ref();
        sheet.part_selected(id) || point.is_some_and(|point| point.part == id)
    };
    let stroke = Stroke::new(1.5, theme.colour.muted);
    for load in &sheet.circuit.loads {
        let Some(part) = sheet.part(&load.id) else {
            continue;
        };
        let rect = symbol_rect(theme, sheet, view, part);
        let foot = rect.center_bottom();
        if let Some(face) = point_at(theme, sheet, view, &load.feed) {
            let lead = [face, pos2(rect.left(), face.y)];
            painter.line_segment(lead, Stroke::new(STRONG, theme.colour.ink));
        }
        if crowded && !chosen(&load.id) && !chosen(&load.feed.part) {
            continue;
        }
        let Some(end) = point_at(theme, sheet, view, &load.ret).filter(|end| end.y > foot.y + 8.0)
        else {
            continue;
        };
        painter.add(egui::Shape::line(
            vec![foot, pos2(foot.x, end.y), end],
            stroke,
        ));
    }
    for part in sheet
        .harness
        .parts
        .iter()
        .filter(|part| !crowded || chosen(&part.id))
    {
        let lanes = part.pins.iter().map(|pin| pin_middle(pin, view));
        let (low, high) = lanes
            .clone()
            .fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), at| {
                (low.min(at.y), high.max(at.y))
            });
        let Some(x) = lanes.map(|at| at.x).next().filter(|_| high - low > 1.0) else {
            continue;
        };
        let x = if part.kind == PartKind::Supply {
            x - 38.0
        } else {
            x
        };
        painter.extend(egui::Shape::dashed_line(
            &[
                pos2(x, low + view.bracket()),
                pos2(x, high - view.bracket()),
            ],
            Stroke::new(LINE, theme.colour.muted),
            3.0,
            4.0,
        ));
    }
}
