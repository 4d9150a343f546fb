//! The harness, drawn to scale along its metres.

use egui::{Align2, Color32, CornerRadius, Painter, Pos2, Rect, Sense, Stroke, Ui, pos2, vec2};

use super::{
    draw::{self, Look, wire_path},
    hands::hands_ui,
    place::Taken,
    sheet::Sheet,
    spot::{BRACKET, pin_middle, point_at, symbol_rect},
    suspicion::{ring_ui, suspicion_of, swellings_ui},
    tag::tags_ui,
    view::{Chosen, View},
};
use crate::{
    app::{
        Screen,
        layout::{Group, PartKind, PlacedPart, Run, Scale},
    },
    circuit::Point,
    quantity::{
        Unit,
        format::si,
        units::{as_metres, as_volts},
    },
    ui::{
        act::Act,
        kit::shortened,
        theme::{LINE, STRONG, Theme},
    },
};

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
    let view = View::new(rect, sheet.harness, chosen);
    let painter = ui.painter_at(rect);
    metres_ui(&painter, theme, &view);
    lanes_ui(&painter, theme, sheet, &view);
    let mut taken = Taken::new(rect.shrink(2.0));
    swellings_ui(&painter, theme, sheet, &view, &mut taken);
    wires_ui(&painter, theme, sheet, &view, &mut taken);
    legs_ui(&painter, theme, sheet, &view);
    symbols_ui(&painter, theme, sheet, &view, &mut taken);
    points_ui(&painter, theme, sheet, &view);
    tags_ui(&painter, theme, sheet, &view, &mut taken);
    names_ui(&painter, theme, sheet, &view, &mut taken);
    wire_names_ui(&painter, theme, sheet, &view, &mut taken);
    move_ui(ui, sheet, &view, chosen, &ground, acts);
    hands_ui(ui, theme, sheet, &view, chosen, acts);
    view
}

/// Upright hairlines at the metres, named at the foot; the voltage plot below continues them.
fn metres_ui(painter: &Painter, theme: &Theme, view: &View) {
    let c = &theme.colour;
    let step = view.step(74.0);
    let (left, right) = view.ends();
    let decimals = if step >= 1.0 {
        0
    } else {
        (-step.log10()).ceil() as usize
    };
    let foot = view.rect.bottom();
    let first = (left / step).ceil().max(0.0) as i64;
    for k in (first..).take(400) {
        let metre = k as f64 * step;
        if metre > right {
            break;
        }
        let x = view.x(metre);
        painter.line_segment(
            [pos2(x, view.rect.top()), pos2(x, foot - 20.0)],
            Stroke::new(LINE, c.grid),
        );
        if x > view.rect.right() - 20.0 {
            break;
        }
        painter.text(
            pos2(x, foot - 2.0),
            Align2::CENTER_BOTTOM,
            format!("{metre:.decimals$} m"),
            theme.label(),
            c.muted,
        );
    }
}

/// Names what the lanes below the feed carry.
fn lanes_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View) {
    let c = &theme.colour;
    let mut named = Group::Feed;
    for lane in &sheet.harness.lanes {
        if lane.group == named {
            continue;
        }
        named = lane.group;
        let text = match lane.group {
            Group::Feed => continue,
            Group::Return => "return",
            Group::Stray if only_rails(sheet, lane.lane) => "other rails",
            Group::Stray => "joined to nothing yet",
        };
        let y = view.y(lane.lane) - view.pitch / 2.0;
        painter.line_segment(
            [pos2(view.rect.left(), y), pos2(view.rect.right(), y)],
            Stroke::new(LINE, c.grid),
        );
        painter.text(
            pos2(view.rect.right() - 10.0, y + 4.0),
            Align2::RIGHT_TOP,
            text,
            theme.small(),
            c.muted,
        );
    }
}

fn only_rails(sheet: &Sheet<'_>, lane: i32) -> bool {
    let mut here = sheet
        .harness
        .parts
        .iter()
        .filter(|part| part.at.lane == lane)
        .peekable();
    here.peek().is_some() && here.all(|part| part.kind == PartKind::Rail)
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

fn wires_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View, taken: &mut Taken) {
    for run in &sheet.harness.runs {
        let path = wire_path(run, view);
        draw::wire_ui(painter, theme, &path, &look(sheet, run));
        for pair in path.windows(2) {
            taken.take(Rect::from_two_pos(pair[0], pair[1]).expand(3.0));
        }
    }
    for stub in &sheet.harness.stubs {
        let loads = sheet
            .part(&stub.owner)
            .filter(|part| part.kind == PartKind::Load);
        let at = loads.map_or_else(
            || view.at(stub.at),
            |part| symbol_rect(theme, sheet, view, part).center_bottom(),
        );
        draw::ground_ui(painter, theme, at);
        taken.take(Rect::from_min_max(
            at - vec2(11.0, 0.0),
            at + vec2(11.0, 28.0),
        ));
    }
}

/// Fine lines: a load down to its return lane, and the pins of one housing to each other.
fn legs_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View) {
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
        let Some(end) = point_at(theme, sheet, view, &load.ret).filter(|end| end.y > foot.y + 8.0)
        else {
            continue;
        };
        painter.add(egui::Shape::line(
            vec![foot, pos2(foot.x, end.y), end],
            stroke,
        ));
    }
    for part in &sheet.harness.parts {
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
            &[pos2(x, low + BRACKET), pos2(x, high - BRACKET)],
            Stroke::new(LINE, theme.colour.muted),
            3.0,
            4.0,
        ));
    }
}

fn symbols_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View, taken: &mut Taken) {
    for part in &sheet.harness.parts {
        let rect = symbol_rect(theme, sheet, view, part);
        taken.take(rect.expand(2.0));
        let probability = sheet.findings.map_or(0.0, |f| suspicion_of(f, &part.id));
        if part.kind != PartKind::Connector {
            ring_ui(painter, theme, rect, probability, taken);
        }
        if sheet.part_selected(&part.id) {
            selected_ui(painter, theme, rect.expand(6.0));
        }
        symbol_ui(painter, theme, sheet, view, part, taken);
    }
}

fn selected_ui(painter: &Painter, theme: &Theme, rect: Rect) {
    painter.rect(
        rect,
        CornerRadius::same(6),
        theme.colour.selected,
        Stroke::new(STRONG, theme.colour.focus),
        egui::StrokeKind::Outside,
    );
}

fn symbol_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    part: &PlacedPart,
    taken: &mut Taken,
) {
    let at = view.at(part.at);
    let dead = dead(sheet, part);
    match part.kind {
        PartKind::Supply => {
            let supply = sheet
                .circuit
                .supplies
                .iter()
                .find(|supply| supply.id == part.id);
            let volts = supply.map_or_else(String::new, |s| si(as_volts(s.nominal), Unit::Volts));
            draw::supply_ui(painter, theme, at, &part.id, &volts);
        }
        PartKind::Connector => {
            let plugged = !sheet.unplugged(&part.id);
            for pin in &part.pins {
                let middle = pin_middle(pin, view);
                let rect = Rect::from_center_size(middle, vec2(34.0, 2.0 * BRACKET + 6.0));
                taken.take(rect);
                ring_ui(
                    painter,
                    theme,
                    rect.shrink(4.0),
                    pin_suspicion(sheet, &part.id, pin.pin),
                    taken,
                );
                draw::connector_ui(painter, theme, middle, plugged, dead);
            }
        }
        PartKind::Splice => draw::splice_ui(painter, theme, at, dead),
        PartKind::Ground => draw::ground_ui(painter, theme, at),
        PartKind::Fuse => draw::fuse_ui(painter, theme, at, dead),
        PartKind::Load => {
            let rect = symbol_rect(theme, sheet, view, part);
            draw::load_ui(painter, theme, rect, &part.id, dead);
        }
        PartKind::Rail => {
            let rail = sheet.circuit.rails.iter().find(|rail| rail.id == part.id);
            let volts = rail.map_or_else(String::new, |r| si(as_volts(r.potential), Unit::Volts));
            draw::rail_ui(painter, theme, at, &format!("{} {volts}", part.id));
        }
    }
}

/// Whether nothing joins a part to the module any more.
fn dead(sheet: &Sheet<'_>, part: &PlacedPart) -> bool {
    let load = sheet.load(&part.id);
    if let Some(load) = load {
        return sheet.cut_off.contains(&load.feed);
    }
    let own = |point: &&Point| point.part == part.id;
    let mut points = sheet.harness.points.keys().filter(own).peekable();
    points.peek().is_some() && points.all(|point| sheet.cut_off.contains(point))
}

fn pin_suspicion(sheet: &Sheet<'_>, id: &str, pin: u8) -> f64 {
    sheet.findings.map_or(0.0, |findings| {
        findings
            .suspects
            .iter()
            .filter(|s| s.site.part == id && s.site.pin.is_none_or(|n| n == pin))
            .map(|s| s.probability)
            .sum()
    })
}

/// A ring at every place a probe can touch; filled where a reading was taken in this plug state.
fn points_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View) {
    let c = &theme.colour;
    for point in sheet.harness.points.keys() {
        let Some(at) = point_at(theme, sheet, view, point).filter(|at| view.rect.contains(*at))
        else {
            continue;
        };
        let splice = sheet
            .part(&point.part)
            .is_some_and(|part| part.kind == PartKind::Splice);
        if sheet.point_selected(point) {
            painter.circle(at, 10.0, c.selected, Stroke::new(3.0, c.focus));
        }
        if splice && !sheet.point_selected(point) {
            continue;
        }
        let read = sheet.tag(point).is_some_and(|tag| tag.reads.is_some());
        let dead = sheet.cut_off.contains(point);
        let ink = if dead { c.cut_off } else { c.ink };
        let ground = if read { ink } else { c.sheet };
        painter.circle(
            at,
            if read { 4.5 } else { 3.5 },
            ground,
            Stroke::new(1.5, ink),
        );
    }
}

/// Designations of parts, and the name people use where room is left.
fn names_ui(painter: &Painter, theme: &Theme, sheet: &Sheet<'_>, view: &View, taken: &mut Taken) {
    let c = &theme.colour;
    for part in &sheet.harness.parts {
        let rect = symbol_rect(theme, sheet, view, part);
        if !view.rect.intersects(rect) {
            continue;
        }
        let (colour, text) = match part.kind {
            PartKind::Connector if sheet.unplugged(&part.id) => {
                (c.attention_text, format!("{} unplugged", part.id))
            }
            PartKind::Connector => (c.connector, part.id.clone()),
            PartKind::Splice | PartKind::Fuse | PartKind::Ground => (c.ink, part.id.clone()),
            PartKind::Load => {
                let name = sheet.load(&part.id);
                let Some(name) = name.filter(|load| !load.name.is_empty()) else {
                    continue;
                };
                let galley =
                    painter.layout_no_wrap(shortened(&name.name, 22), theme.small(), c.muted);
                let places = [
                    pos2(rect.right() + 6.0 + galley.size().x / 2.0, rect.center().y),
                    pos2(rect.left() + galley.size().x / 2.0, rect.bottom() + 10.0),
                    pos2(rect.left() + galley.size().x / 2.0, rect.top() - 10.0),
                ];
                if let Some(spot) = taken.first(galley.size(), places) {
                    painter.galley(spot.min, galley, Color32::PLACEHOLDER);
                }
                continue;
            }
            PartKind::Supply | PartKind::Rail => continue,
        };
        let galley = painter.layout_no_wrap(shortened(&text, 24), theme.mark(), colour);
        let places = Taken::around(rect.center(), galley.size(), rect.height() / 2.0 + 5.0);
        if let Some(spot) = taken.first(galley.size(), places) {
            painter.galley(spot.min, galley, Color32::PLACEHOLDER);
        }
    }
}

/// Designation, length and colour letters beside each wire, with a swatch.
fn wire_names_ui(
    painter: &Painter,
    theme: &Theme,
    sheet: &Sheet<'_>,
    view: &View,
    taken: &mut Taken,
) {
    let c = &theme.colour;
    for run in &sheet.harness.runs {
        let (Some((a, b)), Some(wire)) = (run.span(), sheet.circuit.wires.get(run.wire)) else {
            continue;
        };
        let (a, b) = (view.at(a), view.at(b));
        let (left, right) = (
            a.x.min(b.x).max(view.rect.left()),
            a.x.max(b.x).min(view.rect.right()),
        );
        let letters = wire
            .colour
            .map_or_else(String::new, |colour| format!(" {colour}"));
        let length = wire.length.map_or_else(
            || " ? m".to_owned(),
            |length| format!(" {:.2} m", as_metres(length)),
        );
        let id = shortened(&run.id, 12);
        for text in [
            format!("{id}{letters}{length}"),
            format!("{id}{letters}"),
            id.clone(),
        ] {
            let galley = painter.layout_no_wrap(text, theme.small(), c.muted);
            let size = galley.size();
            if size.x > right - left - 8.0 {
                continue;
            }
            let middle = (left + right) / 2.0;
            let slack = (right - left - size.x - 8.0).max(0.0) / 2.0;
            let places = [
                (0.0, -1.0),
                (0.5, -1.0),
                (-0.5, -1.0),
                (1.0, -1.0),
                (-1.0, -1.0),
            ]
            .into_iter()
            .chain([(0.0, 1.0), (0.5, 1.0), (-0.5, 1.0)])
            .map(|(dx, dy): (f32, f32)| pos2(middle + dx * slack, a.y + dy * (size.y / 2.0 + 5.0)));
            if let Some(spot) = taken.first(size, places) {
                painter.galley(spot.min, galley, Color32::PLACEHOLDER);
                break;
            }
        }
    }
}

/// Pan by dragging the bare sheet, zoom by the wheel with Ctrl or by pinching, click a wire or nothing.
fn move_ui(
    ui: &Ui,
    sheet: &Sheet<'_>,
    view: &View,
    chosen: &Chosen,
    ground: &egui::Response,
    acts: &mut Vec<Act>,
) {
    if ground.dragged() && ground.drag_delta() != egui::Vec2::ZERO {
        acts.push(Act::Look(view.moved(
            chosen,
            ground.drag_delta(),
            sheet.harness,
        )));
    }
    if let Some(pointer) = ground.hover_pos().filter(|_| ground.contains_pointer()) {
        let (zoom, scroll) = ui.input(|input| (input.zoom_delta(), input.smooth_scroll_delta()));
        if (zoom - 1.0).abs() > 1e-4 {
            acts.push(Act::Look(view.zoomed(chosen, zoom, pointer.x)));
        } else if scroll != egui::Vec2::ZERO && chosen.piece.is_some() {
            acts.push(Act::Look(view.moved(chosen, scroll, sheet.harness)));
        }
    }
    if ground.double_clicked() {
        acts.push(Act::Look(Chosen::default()));
    } else if ground.clicked() {
        let wire = ground
            .interact_pointer_pos()
            .and_then(|at| nearest_wire(sheet, view, at));
        acts.push(Screen::SelectPart(wire).into());
    }
}

/// The wire under a pointer, within a few points.
fn nearest_wire(sheet: &Sheet<'_>, view: &View, at: Pos2) -> Option<String> {
    let distance = |run: &Run| {
        wire_path(run, view)
            .windows(2)
            .map(|pair| {
                let (a, along) = (pair[0], pair[1] - pair[0]);
                let t = ((at - a).dot(along) / along.length_sq().max(1e-6)).clamp(0.0, 1.0);
                (a + along * t).distance(at)
            })
            .fold(f32::INFINITY, f32::min)
    };
    sheet
        .harness
        .runs
        .iter()
        .map(|run| (distance(run), run))
        .filter(|(distance, _)| *distance <= 10.0)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, run)| run.id.clone())
}
