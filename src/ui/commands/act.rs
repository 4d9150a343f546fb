//! What each command does as things stand; none where it cannot be done.

use super::Do;
use crate::{
    advise::Best,
    app::{
        Bench, Command, FileCommand, Model, PartData, Screen, Sketch,
        clip::{copy, copy_many},
        command::Leave,
        model::{Page, Selection, Theme},
    },
    circuit::{Circuit, Point, edit::Addition},
    report::Form,
    ui::{
        act::Act,
        bench::{
            Foot, Looks, Under, ZOOM, next::steps_of, point_box, props::end, rename, value_box,
            view::Chosen,
        },
        dialog::{Dialog, PathAsk},
    },
};

impl Do {
    /// What it does now; none where it cannot be done.
    pub fn act(self, model: &Model, looks: &Looks) -> Option<Act> {
        let circuit = &model.job.circuit;
        Some(match self {
            Self::Commands => Act::Ask(Dialog::commands()),
            Self::Help => Act::Ask(Dialog::Help),
            Self::Tour => Screen::Tour(Some(0)).into(),
            Self::NewFeed => Act::Ask(Dialog::quick_start()),
            Self::Open => Act::Ask(Dialog::open()),
            Self::Save => FileCommand::Save.into(),
            Self::SaveAs => Act::AskWhereToSave,
            Self::DuplicateJob => FileCommand::Duplicate.into(),
            Self::Undo => model.history.undo_name().map(|_| Act::Do(Command::Undo))?,
            Self::Redo => model.history.redo_name().map(|_| Act::Do(Command::Redo))?,
            Self::ReadPoint => Act::Focus(point_box()),
            Self::ReadValue => Act::Focus(value_box()),
            Self::NextTest => {
                let next = &model.current_findings()?.next;
                let test = next.tests.first().filter(|_| next.best == Best::Test)?;
                Act::All(steps_of(test))
            }
            Self::PlugAll => Bench::PlugAll.into(),
            Self::Supply => Bench::SupplyOff(!model.job.now.supply_off).into(),
            Self::ClipOn => {
                let point = model.selection.point.as_ref();
                Act::Ask(Dialog::clip_on(
                    point.filter(|p| !p.is_battery_negative())?.clone(),
                ))
            }
            Self::Meter => Act::Ask(Dialog::meter(model)),
            Self::Readings => Act::Foot(Foot::Readings),
            Self::Outline => Act::Foot(Foot::Outline),
            Self::Steps => Act::Foot(Foot::Steps),
            Self::ThisPoint => Act::Foot(Foot::Point),
            Self::Doubt => Act::Foot(Foot::Doubt),
            Self::Likely => Act::Under(match looks.under {
                Under::Volts => Under::Likely,
                Under::Likely => Under::Volts,
            }),
            Self::Listing => Act::Foot(Foot::Listing),
            Self::Fit => {
                Some(Act::Look(Chosen::default())).filter(|_| looks.chosen != Chosen::default())?
            }
            Self::ZoomIn => Act::Zoom(ZOOM),
            Self::ZoomOut => Act::Zoom(1.0 / ZOOM),
            Self::CompareNone => model
                .compare
                .as_ref()
                .map(|_| Screen::Compare(None).into())?,
            Self::Export => Act::AskForPicture,
            Self::Day => Screen::SetTheme(match model.look.theme {
                Theme::Day => Theme::Dim,
                Theme::Dim => Theme::Day,
            })
            .into(),
            Self::Gloves => Screen::SetGlove(!model.look.glove).into(),
            Self::Larger => Screen::SetScale(model.look.scale.saturating_add(10)).into(),
            Self::Smaller => Screen::SetScale(model.look.scale.saturating_sub(10)).into(),
            Self::UsualSize => Screen::SetScale(100).into(),
            Self::PageBench => Screen::Show(Page::Bench).into(),
            Self::PageJob => Screen::Show(Page::Job).into(),
            Self::PagePractice => Screen::Show(Page::Practice).into(),
            Self::PageNotebook => Screen::Show(Page::Notebook).into(),
            Self::NextJob => {
                let tabs = model.tabs();
                let here = tabs.iter().position(|tab| tab.here)?;
                let next = tabs.get((here + 1) % tabs.len()).filter(|tab| !tab.here)?;
                FileCommand::Leave(Leave::Switch(next.number)).into()
            }
            Self::CloseJob => FileCommand::Leave(Leave::Close).into(),
            Self::AddPhotos => Act::Ask(Dialog::path(PathAsk::Photos, String::new())),
            Self::Import => Act::Ask(Dialog::path(PathAsk::Import, String::new())),
            Self::Pack => {
                let file = model.path.clone()?;
                let to = file.with_extension("zip").display().to_string();
                Act::Ask(Dialog::path(PathAsk::Pack(file), to))
            }
            Self::Report => FileCommand::Report(Form::Pdf).into(),
            Self::Quit => FileCommand::Leave(Leave::Quit).into(),
            Self::Everything => {
                let ids = circuit.ids().map(str::to_owned).collect();
                Screen::SelectMany(ids).into()
            }
            Self::HangElsewhere => {
                let many = &model.selection.many;
                (!many.is_empty()).then(|| Screen::StartMove(true).into())?
            }
            Self::Copy => copied(&model.selection)?,
            Self::Paste => {
                let clip = model.clip.clone()?;
                Sketch::Paste(after(circuit, &model.selection)?, Box::new(clip)).into()
            }
            Self::DuplicatePart => duplicated(model)?,
            Self::Rename => renamed(model)?,
            Self::Remove => removed(&model.selection)?,
            Self::AddSensor
            | Self::AddConnector
            | Self::AddSplice
            | Self::AddFuse
            | Self::AddGround
            | Self::AddWire
            | Self::AddList
            | Self::AddRail
            | Self::AddSupply => self.act_on(circuit, &model.selection)?,
        })
    }

    /// The same for what adds to the drawing.
    pub fn act_on(self, circuit: &Circuit, selection: &Selection) -> Option<Act> {
        let add =
            |addition: Addition| Some(Sketch::Add(after(circuit, selection)?, addition).into());
        match self {
            Self::AddSensor => add(Addition::Sensor {
                plug: true,
                back: None,
            }),
            Self::AddConnector => add(Addition::Connector),
            Self::AddSplice => add(Addition::Splice),
            Self::AddFuse => add(Addition::Fuse),
            Self::AddGround => add(Addition::Ground { wire: true }),
            Self::AddWire => Some(Screen::StartWire(Some(after(circuit, selection)?)).into()),
            Self::AddList => {
                let after = after(circuit, selection)?;
                Some(Act::Ask(Dialog::list(after, String::new())))
            }
            Self::AddRail => Some(Act::Ask(Dialog::rail())),
            Self::AddSupply => Some(Sketch::AddSupply(5.0).into()),
            _ => None,
        }
    }
}

fn copied(selection: &Selection) -> Option<Act> {
    Some(if selection.many.is_empty() {
        Screen::Copy(selection.part.clone()?).into()
    } else {
        Screen::CopyMany.into()
    })
}

fn duplicated(model: &Model) -> Option<Act> {
    let (circuit, many) = (&model.job.circuit, &model.selection.many);
    let clip = if many.is_empty() {
        copy(circuit, &model.harness, model.selection.part.as_ref()?)?
    } else {
        copy_many(circuit, &model.harness, many)?
    };
    let hang = clip.hang()?.clone();
    Some(Sketch::Paste(hang, Box::new(clip)).into())
}

fn renamed(model: &Model) -> Option<Act> {
    let point = model.selection.point.as_ref().map(|point| &point.part);
    let id = model.selection.part.as_ref().or(point)?;
    let there = model.page == Page::Bench && model.job.circuit.part(id).is_some();
    there.then(|| rename(id))
}

fn removed(selection: &Selection) -> Option<Act> {
    Some(if selection.many.is_empty() {
        Sketch::Remove(selection.part.clone()?).into()
    } else {
        Sketch::RemoveAll(selection.many.iter().cloned().collect()).into()
    })
}

/// The point from which is drawn on: the end of the chosen part, else the chosen point, else the first module's pin.
fn after(circuit: &Circuit, selection: &Selection) -> Option<Point> {
    let part = selection
        .part
        .as_ref()
        .and_then(|id| PartData::of(circuit, id));
    if let Some(part) = part {
        return end(&part);
    }
    if let Some(point) = &selection.point {
        return Some(point.clone()).filter(|point| !point.is_battery_negative());
    }
    let supply = circuit.supplies.first()?;
    Some(Point::new(&supply.id, crate::circuit::Terminal::Feed(1)))
}
