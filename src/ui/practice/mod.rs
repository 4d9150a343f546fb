//! The practice page: choose, test the vehicle, look back, progress, make an exercise. It has a bench of its own; the job
//! on the real one is never touched.

mod author;
mod back;
mod choose;
mod drawn;
mod end;
mod group;
mod left;
mod log;
mod meter;
mod plots;
mod progress;
mod vehicle;

use std::{io, sync::Arc};

use egui::{ScrollArea, Stroke, Ui};

use super::{
    act::Act,
    bench::{
        Drawing, face,
        view::{Chosen, View},
    },
    kit::{Tone, button_ui, label_ui, notice_ui, text_ui},
    theme::{STRONG, Theme},
};
use crate::{
    app::{
        Model,
        home::Home,
        latest::Wake,
        practice::{Command, Fault, Practice, Room, STAGES, Stage},
        settings::Practised,
    },
    drawing::Harness,
    notebook::Job,
};

pub use left::left_notices_ui;

/// Width under which everything stands in one column.
const NARROW: f32 = 900.0;

/// A list, and beside it what belongs to the chosen row, each with the most width it gets; one under the other where there is
/// little room. By its name each keeps its own place where it was scrolled to.
fn columns_ui(
    ui: &mut Ui,
    theme: &Theme,
    name: &str,
    (list, widest): (f32, f32),
    acts: &mut Vec<Act>,
    list_ui: impl Fn(&mut Ui, &mut Vec<Act>),
    rest_ui: impl Fn(&mut Ui, &mut Vec<Act>),
) {
    let gap = theme.size.gap + 2.0;
    let all = ScrollArea::vertical().id_salt(name).auto_shrink(false);
    all.show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = gap;
        if ui.available_width() < NARROW {
            list_ui(ui, acts);
            rest_ui(ui, acts);
            return;
        }
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = gap;
            ui.vertical(|ui| {
                ui.set_width(list);
                list_ui(ui, acts);
            });
            ui.vertical(|ui| {
                ui.set_width(ui.available_width().min(widest));
                ui.spacing_mut().item_spacing.y = gap;
                rest_ui(ui, acts);
            });
        });
    });
}

/// The bench of whoever makes an exercise.
struct Author {
    job: Arc<Job>,
    faults: Vec<Fault>,
    bench: Model,
}

/// The page with its drawing.
pub struct Desk {
    room: Room,
    /// The layout of the sketch in sight, and the one it was made from.
    drawing: Option<(Arc<Harness>, Drawing)>,
    chosen: Chosen,
    /// The bench of whoever makes an exercise, with the job and the faults that it was made from.
    author: Option<Author>,
}

impl Desk {
    /// Starts the thread beside the page, see [`Room::start`].
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn start(home: Option<&Home>, practised: &Practised, wake: Wake) -> io::Result<Self> {
        Ok(Self {
            room: Room::start(home, practised, wake)?,
            drawing: None,
            chosen: Chosen::default(),
            author: None,
        })
    }

    /// The state of the page.
    pub fn state(&self) -> &Practice {
        self.room.state()
    }

    /// What is to be remembered for the next start.
    pub fn practised(&self) -> Practised {
        self.room.practised()
    }

    /// Carries a command out.
    pub fn send(&mut self, command: Command) {
        self.room.send(command);
    }

    /// Shows another piece of the drawing.
    pub fn look(&mut self, chosen: Chosen) {
        self.chosen = chosen;
    }

    /// Waits until nothing is being worked on.
    pub fn settle(&mut self) {
        self.room.settle();
    }

    /// Takes in what is finished.
    pub fn poll(&mut self) {
        self.room.poll();
    }

    /// Lays a new sketch out.
    fn lay(&mut self, bench: &Model) {
        let state = self.room.state();
        if state.stage == Stage::Author {
            let faults = &state.draft.faults;
            let known = self.author.as_ref();
            let same =
                |known: &Author| Arc::ptr_eq(&known.job, &bench.job) && known.faults == *faults;
            if !known.is_some_and(same) {
                let mut model = author::tasted(&bench.job, faults);
                // Other faults leave the drawing as it lies.
                if let Some(known) = known.filter(|known| known.job.circuit == bench.job.circuit) {
                    model.harness = Arc::clone(&known.bench.harness);
                }
                self.author = Some(Author {
                    job: Arc::clone(&bench.job),
                    faults: faults.clone(),
                    bench: model,
                });
            }
        }
        let Some(model) = drawn_model(self.room.state(), &self.author) else {
            return;
        };
        let known = self.drawing.as_ref();
        if known.is_none_or(|(base, _)| !Arc::ptr_eq(base, &model.harness)) {
            self.drawing = Some((Arc::clone(&model.harness), Drawing::new(model)));
            self.chosen = Chosen::default();
        }
    }

    /// Draws the page. Answers whether the drawing was laid out anew for its zoom.
    pub fn page_ui(
        &mut self,
        ui: &mut Ui,
        theme: &Theme,
        model: &Model,
        acts: &mut Vec<Act>,
    ) -> bool {
        self.lay(model);
        let state = self.room.state();
        stages_ui(ui, theme, state, acts);
        // There it stands beside what was done.
        if !matches!(state.stage, Stage::Vehicle | Stage::Author) {
            told_ui(ui, theme, state);
        }
        let harness = self.drawing.as_ref().map(|(_, drawing)| drawing.harness());
        let view: Option<View> = match (state.stage, &state.go, &state.back, harness) {
            (Stage::Vehicle, Some(go), _, Some(harness)) => {
                let page = vehicle::Page {
                    state,
                    go,
                    harness,
                    chosen: &self.chosen,
                };
                Some(vehicle::vehicle_ui(ui, theme, &page, acts))
            }
            (Stage::Back, _, Some(back), Some(harness)) => {
                Some(back::back_ui(ui, theme, back, harness, &self.chosen, acts))
            }
            (Stage::Progress, ..) => {
                progress::progress_ui(ui, theme, state, acts);
                None
            }
            (Stage::Author, _, _, Some(harness)) => self.author.as_ref().map(|author| {
                let page = author::Page {
                    state,
                    job: &model.job,
                    bench: &author.bench,
                    harness,
                    chosen: &self.chosen,
                };
                author::author_ui(ui, theme, &page, acts)
            }),
            _ => {
                choose::choose_ui(ui, theme, state, model, acts);
                None
            }
        };
        let drawn = drawn_model(self.room.state(), &self.author);
        match (view, drawn, &mut self.drawing) {
            (Some(view), Some(model), Some((_, drawing))) => {
                drawing.zoomed(model, &view, face(theme))
            }
            _ => false,
        }
    }
}

/// The bench that is drawn in the stage in front.
fn drawn_model<'a>(state: &'a Practice, author: &'a Option<Author>) -> Option<&'a Model> {
    match state.stage {
        Stage::Author => author.as_ref().map(|author| &author.bench),
        Stage::Back => state.back.as_ref().map(|back| &back.bench),
        _ => state.go.as_ref().map(|go| &go.bench),
    }
}

/// What stages there are, and what is being worked on.
fn stages_ui(ui: &mut Ui, theme: &Theme, state: &Practice, acts: &mut Vec<Act>) {
    let c = &theme.colour;
    let scroll = ScrollArea::horizontal()
        .id_salt("stages")
        .auto_shrink([false, true]);
    scroll.show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 2.0;
            for stage in STAGES {
                let there = match stage {
                    Stage::Vehicle => state.go.is_some(),
                    Stage::Back => state.back.is_some(),
                    _ => true,
                };
                ui.add_enabled_ui(there, |ui| {
                    let name = format!("Practice: {}", stage.name());
                    let button = button_ui(ui, theme, Tone::Quiet, stage.name(), Some(&name));
                    if state.stage == stage {
                        let under = button.rect.x_range().shrink(8.0);
                        let stroke = Stroke::new(STRONG + 1.0, c.attention);
                        ui.painter()
                            .hline(under, button.rect.bottom() - 2.0, stroke);
                    }
                    if button.clicked() {
                        acts.push(Command::Show(stage).into());
                    }
                });
            }
            let Some(pending) = &state.pending else {
                return;
            };
            ui.add_space(theme.size.gap);
            let text = match pending.gauge.percent() {
                0 => format!("{} …", pending.what),
                percent => format!("{}: {percent} %", pending.what),
            };
            label_ui(ui, &text, theme.body(), c.muted);
            if button_ui(ui, theme, Tone::Quiet, "Call off", None).clicked() {
                acts.push(Command::CallOff.into());
            }
        });
    });
}

/// Why the last thing was not done, or that it was.
fn told_ui(ui: &mut Ui, theme: &Theme, state: &Practice) {
    if let Some(trouble) = &state.trouble {
        let what = match trouble.place.as_str() {
            "" => trouble.what.clone(),
            place => format!("{place}: {}", trouble.what),
        };
        notice_ui(ui, theme, &what, &trouble.remedy);
        ui.add_space(4.0);
    }
    if let Some(news) = &state.news {
        text_ui(ui, news, theme.strong(), theme.colour.healthy_text);
        ui.add_space(4.0);
    }
}

impl From<Command> for Act {
    fn from(command: Command) -> Self {
        Self::Practice(Box::new(command))
    }
}
