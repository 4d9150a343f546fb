//! The window's frame loop: banner, page, questions, and what was asked for carried out after each frame.

use std::{
    collections::BTreeSet,
    path::{Path, PathBuf},
    sync::Arc,
    time::Duration,
};

use eframe::egui::{CentralPanel, Context, Event, Frame, Id, Key, Margin, Ui, ViewportCommand};

use super::{
    act::Act,
    banner::{banner_ui, tools_ui},
    bench::{
        Bench, Drawing, Foot, Looks, bench_ui, face, open_line, picture_ui, value_box,
        view::{Chosen, View},
    },
    boot::Options,
    commands::Do,
    dialog::{Dialog, dialog_ui},
    dropped::Dropped,
    files::{Files, Picked},
    held::Held,
    job::{Thumbs, job_ui, start_thumbs},
    kit::show_job,
    notebook::{notebook_ui, tabs::tabs_ui},
    notices::{drop_hint_ui, notices_ui},
    picture::{self, Picture},
    practice::Desk,
    samples::SAMPLES,
    stead::{fit, place},
    theme::{self, Theme},
    tour::{frame_ui, tour_ui},
    turn::Turn,
};
use crate::{
    app::{
        Command, FileCommand, Model, Screen, Session,
        command::Leave,
        home::Home,
        left::Lefts,
        model::{Page, Refusal, Theme as Light, Weight},
        practice,
        session::WindowRequest,
        sums::{Sums, Which},
    },
    notebook::{Job, parse_job, training::held},
};

/// The window.
pub struct Shell {
    session: Session,
    sums: Sums,
    lefts: Lefts,
    thumbs: Thumbs,
    theme: Theme,
    looks: Looks,
    drawing: Drawing,
    /// How the drawing lay in the last frame of the bench.
    view: Option<View>,
    practice: Desk,
    dialog: Option<Dialog>,
    files: Files,
    held: Held,
    turn: Turn,
    /// Where the keyboard goes at the beginning of the next frame, so that its box notices and comes in sight.
    focus: Option<Id>,
    fitted: bool,
    closing: bool,
}

impl Shell {
    /// Opens on a file, or on the first sample; remembers and recovers in `home`.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn new(ctx: &Context, options: &Options, home: Option<Home>) -> std::io::Result<Self> {
        let first = parse_job("first sample", SAMPLES[0].1.as_bytes());
        let job = first.map_or_else(|_| Job::default(), |opened| opened.job);
        let wake = waker(ctx);
        let session = match home.clone() {
            Some(home) => Session::start_at(home, job, wake)?,
            None => Session::start(job, wake)?,
        };
        let mut shell = Self::with_session(ctx, session, home.as_ref())?;
        // A newcomer finds the sample with a tour over it; whoever opens a job has work to do.
        if options.file.is_none() && !shell.model().toured {
            shell.session.send(Screen::Tour(Some(0)));
        }
        if let Some(path) = &options.file {
            shell.open(path.clone());
        }
        Ok(shell)
    }

    /// Opens on a job and leaves no trace on disk.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn with_job(ctx: &Context, job: Job) -> std::io::Result<Self> {
        Self::with_session(ctx, Session::start(job, waker(ctx))?, None)
    }

    fn with_session(ctx: &Context, session: Session, home: Option<&Home>) -> std::io::Result<Self> {
        let theme = Theme::new(false, false);
        theme::install(ctx, &theme);
        Ok(Self {
            sums: Sums::start(waker(ctx))?,
            lefts: Lefts::start(waker(ctx))?,
            thumbs: start_thumbs(ctx)?,
            drawing: Drawing::new(session.model()),
            view: None,
            practice: Desk::start(home, &session.model().practised, waker(ctx))?,
            session,
            theme,
            looks: Looks::default(),
            dialog: None,
            files: Files::new(),
            held: Held::default(),
            turn: Turn::default(),
            focus: None,
            fitted: false,
            closing: false,
        })
    }

    /// The state behind the window.
    pub fn model(&self) -> &Model {
        self.session.model()
    }

    /// The state of the practice page.
    pub fn practice(&self) -> &practice::Practice {
        self.practice.state()
    }

    /// Opens a file: what practice keeps goes to its page, anything else is a job.
    fn open(&mut self, path: PathBuf) {
        let practising = self.session.model().page == Page::Practice;
        if practising || held(&path).is_some() {
            self.session.send(Screen::Show(Page::Practice));
            self.practice.send(practice::Command::Open(path));
        } else {
            self.session.send(FileCommand::Leave(Leave::Open(path)));
        }
    }

    /// Waits until nothing is being computed, read or written.
    pub fn settle(&mut self) {
        self.session.settle();
        self.practice.settle();
        self.sums.settle();
        self.lefts.settle();
        self.thumbs.settle();
    }

    /// Carries a request out.
    pub fn carry_out(&mut self, ctx: &Context, act: Act) {
        match act {
            Act::Do(Command::File(FileCommand::Leave(Leave::Open(path))))
                if held(&path).is_some() =>
            {
                self.open(path);
            }
            Act::Do(command) => self.session.send(command),
            Act::Practice(command) => self.practice.send(*command),
            Act::PracticeLook(chosen) => self.practice.look(chosen),
            Act::Look(chosen) => self.looks.chosen = chosen,
            Act::Zoom(factor) => {
                if let Some(view) = self.view {
                    let model = self.session.model();
                    self.looks.chosen = self.drawing.larger(model, &view, factor);
                }
            }
            Act::Show(things) => {
                if let Some(view) = self.view {
                    let shown = self.drawing.showing(&view, &self.looks.chosen, &things);
                    self.looks.chosen = shown;
                }
            }
            Act::Under(under) => self.looks.under = under,
            Act::Foot(foot) => self.looks.foot = foot,
            Act::Stand(open) => self.looks.stand = open,
            Act::Others(open) => self.looks.others = open,
            Act::Focus(id) => self.focus = Some(id),
            Act::ReadAt(point) => {
                self.session.send(Screen::SelectPart(None));
                self.session.send(Screen::SelectPoint(Some(point)));
                self.focus = Some(value_box());
            }
            Act::Ask(dialog) => self.dialog = Some(dialog),
            Act::AskWhereToSave => self.dialog = Some(Dialog::save(self.session.model())),
            Act::AskForPicture => self.dialog = Some(Dialog::export(self.session.model())),
            Act::Close => self.dialog = None,
            Act::All(acts) => {
                for act in acts {
                    self.carry_out(ctx, act);
                }
            }
            Act::Export(picture, path) => self.export(picture, &path),
            Act::Browse(ask, typed) => self.files.browse(ctx, ask, typed),
            Act::Open(path) => self.open(path),
            Act::BrowseOpen => self.files.browse_open(ctx),
            Act::BrowseSave => {
                let name = Dialog::save_path(self.session.model());
                self.files.browse_save(ctx, name);
            }
        }
    }

    fn follow_model(&mut self, ctx: &Context) {
        let look = self.session.model().look;
        let theme = Theme::new(look.theme == Light::Dim, look.glove);
        if theme != self.theme {
            self.theme = theme;
            theme::restyle(ctx, &theme);
        }
        let zoom = f32::from(look.scale) / 100.0;
        if (ctx.zoom_factor() - zoom).abs() > 1e-3 {
            ctx.set_zoom_factor(zoom);
        }
    }

    /// Keeps the worked sum at the suspect and the line that were pressed, else at the likeliest.
    fn follow_sum(&mut self, ctx: &Context) {
        let model = self.session.model();
        let answer = model.answer.as_ref();
        let suspect = answer.and_then(|answer| {
            let part = model.selection.part.as_ref()?;
            let mut suspects = answer.findings.suspects.iter();
            suspects.position(|suspect| suspect.site.part == *part)
        });
        let used = |line: &usize| {
            answer.is_some_and(|answer| answer.findings.readings.iter().any(|r| r.entry == *line))
        };
        let entry = open_line(ctx).filter(used);
        self.sums
            .follow(model.number, answer, Which { suspect, entry });
    }

    /// Works out what every reading left, only while it is looked at: it takes an answer for each line of the log.
    fn follow_lefts(&mut self) {
        let exported = matches!(
            self.dialog,
            Some(Dialog::Export {
                picture: Picture::Doubt,
                ..
            })
        );
        if self.looks.foot == Foot::Doubt || exported {
            self.lefts.follow(&self.session.model().job);
        }
    }

    fn follow_files(&mut self, ctx: &Context) {
        while let Some(picked) = self.files.answer() {
            match picked {
                Picked::Open(path) => self.held.push(Act::Open(path)),
                Picked::Save(path) => self.held.push(FileCommand::SaveAs(path)),
                Picked::NoOpen => self.dialog = Some(Dialog::open()),
                Picked::NoSave => self.dialog = Some(Dialog::save(self.session.model())),
                Picked::Paths(ask, _, Some(paths)) => {
                    if let Some(command) = ask.command(paths) {
                        self.session.send(command);
                    }
                }
                Picked::Paths(ask, typed, None) => self.dialog = Some(Dialog::path(ask, typed)),
            }
        }
        for request in self.session.window_requests() {
            match request {
                WindowRequest::AskWhereToSave => {
                    self.dialog = Some(Dialog::save(self.session.model()));
                }
                WindowRequest::Close => {
                    self.closing = true;
                    ctx.send_viewport_cmd(ViewportCommand::Close);
                }
            }
        }
        let dropped: Vec<PathBuf> = ctx.input(|input| {
            let files = input.raw.dropped_files.iter();
            files.map(|file| file.path().to_path_buf()).collect()
        });
        let sorted = Dropped::sorted(self.session.model().page, dropped);
        for path in sorted.open {
            self.held.push(Act::Open(path));
        }
        for command in sorted.commands {
            self.session.send(command);
        }
        if ctx.input(|input| input.viewport().close_requested()) && !self.closing {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            self.held.push(FileCommand::Leave(Leave::Quit));
        }
    }

    fn shortcuts(&mut self, ctx: &Context, acts: &mut Vec<Act>) {
        if self.dialog.is_some() || self.session.model().guard.is_some() {
            return;
        }
        let model = self.session.model();
        if model.wiring.is_some() && ctx.input(|input| input.key_pressed(Key::Escape)) {
            acts.push(Screen::StartWire(None).into());
        }
        let many = !model.selection.many.is_empty();
        if many && !ctx.text_edit_focused() && ctx.input(|input| input.key_pressed(Key::Escape)) {
            acts.push(if model.moving {
                Screen::StartMove(false).into()
            } else {
                Screen::SelectMany(BTreeSet::new()).into()
            });
        }
        for command in Do::ALL {
            if command.is_pressed(ctx, model.page) {
                acts.extend(command.act(model, &self.looks));
            }
        }
        if ctx.text_edit_focused() || model.page != Page::Bench {
            return;
        }
        // Copying and pasting come from the desktop as events of their own.
        let events = ctx.input(|input| input.events.clone());
        for event in events {
            match event {
                Event::Copy => {
                    if let Some(act) = Do::Copy.act(model, &self.looks) {
                        // The desktop pastes only where there is something on its clipboard.
                        let part = model.selection.part.clone().unwrap_or_default();
                        ctx.copy_text(part);
                        acts.push(act);
                    }
                }
                Event::Paste(text) if text.contains(['\t', '\n']) => {
                    if let Some(Act::Ask(Dialog::List { after, .. })) =
                        Do::AddList.act(model, &self.looks)
                    {
                        acts.push(Act::Ask(Dialog::list(after, text)));
                    }
                }
                Event::Paste(_) => acts.extend(Do::Paste.act(model, &self.looks)),
                _ => {}
            }
        }
    }

    /// Writes a picture of what is on the bench.
    fn export(&mut self, picture: Picture, path: &Path) {
        let model = self.session.model();
        let looks = Looks {
            chosen: self.looks.chosen,
            ..Looks::default()
        };
        let bench = Bench {
            model,
            drawing: &self.drawing,
            looks: &looks,
            sum: None,
            steps: &[],
            left: self.lefts.of(&model.job),
            sum_at_log: false,
            pad_at_value: false,
            notices: 0.0,
        };
        if picture == Picture::Doubt && bench.left.is_none() {
            let wait = Refusal::new(
                path.display().to_string(),
                "what every reading left is still being worked out",
                "Write the picture again in a moment",
            );
            self.session.send(Screen::Tell(Weight::Trouble, wait));
            return;
        }
        let written = picture::write(picture, path, |ui, theme| {
            picture_ui(ui, theme, &bench, picture);
        });
        let told = match written {
            Ok(()) => (
                Weight::News,
                Refusal::new(path.display().to_string(), "the picture is written", ""),
            ),
            Err(refusal) => (Weight::Trouble, refusal),
        };
        self.session.send(Screen::Tell(told.0, told.1));
    }
}

/// Lets the threads beside the window ask for a frame.
fn waker(ctx: &Context) -> Arc<dyn Fn() + Send + Sync> {
    let ctx = ctx.clone();
    Arc::new(move || ctx.request_repaint())
}

impl eframe::App for Shell {
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        self.session.poll();
        self.practice.poll();
        self.follow_files(ctx);
        self.follow_model(ctx);
        self.follow_sum(ctx);
        self.follow_lefts();
        if self.drawing.follow(self.session.model()) {
            self.looks.chosen = Chosen::default();
        }
        if self.session.model().page == Page::Job {
            self.thumbs.follow(ctx, self.session.model());
        }
        let practised = self.practice.practised();
        if practised != self.session.model().practised {
            self.session.send(Screen::SetPractised(practised));
        }
        fit(ctx, &mut self.fitted);
        let place = place(ctx);
        if let Some(place) = place.filter(|_| place != self.session.model().window) {
            self.session.send(Screen::SetWindow(place));
        }
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        let mut acts = Vec::new();
        self.held.begin(&ctx);
        let guarded = self.session.model().guard.is_some();
        self.turn.begin(&ctx, guarded, self.dialog.as_ref());
        if let Some(id) = self.focus.take() {
            ctx.memory_mut(|memory| memory.request_focus(id));
        }
        self.shortcuts(&ctx, &mut acts);
        let theme = self.theme;
        let model = self.session.model();
        show_job(&ctx, model.number);
        let practice = self.practice.state();
        banner_ui(ui, &theme, (model, practice), &mut acts);
        tabs_ui(ui, &theme, model, &mut acts);
        tools_ui(ui, &theme, model, &self.looks, &mut acts);
        let notices = notices_ui(ui, &theme, (model, practice), &mut acts);
        tour_ui(ui, &theme, model, &mut acts);
        let frame = Frame::new().fill(theme.colour.desk).inner_margin(Margin {
            left: 14,
            right: 14,
            top: 2,
            bottom: 14,
        });
        let bench = Bench {
            model,
            drawing: &self.drawing,
            looks: &self.looks,
            sum: (self.sums.sum()).map(|shown| shown.unless(model.is_busy())),
            steps: self.sums.steps(),
            left: self.lefts.of(&model.job),
            sum_at_log: false,
            pad_at_value: false,
            notices,
        };
        let mut practised = false;
        let view = CentralPanel::no_frame()
            .frame(frame)
            .show(ui, |ui| match model.page {
                Page::Bench => Some(bench_ui(ui, &theme, &bench, &mut acts)),
                Page::Job => {
                    job_ui(ui, &theme, (model, &self.thumbs), &mut acts);
                    None
                }
                Page::Notebook => {
                    notebook_ui(ui, &theme, model, &mut acts);
                    None
                }
                Page::Practice => {
                    practised = self.practice.page_ui(ui, &theme, model, &mut acts);
                    None
                }
            })
            .inner;
        self.view = view.or(self.view);
        let laid_anew =
            practised || view.is_some_and(|view| self.drawing.zoomed(model, &view, face(&theme)));
        dialog_ui(
            &ctx,
            &theme,
            model,
            &self.looks,
            &mut self.dialog,
            &mut acts,
        );
        if self.dialog.is_none() && model.guard.is_none() {
            frame_ui(&ctx, &theme, model);
        }
        drop_hint_ui(&ctx, &theme);
        let busy = laid_anew || !acts.is_empty();
        for act in self.held.end(&ctx, acts) {
            self.carry_out(&ctx, act);
        }
        if busy {
            // What was asked for shows in the next frame.
            ctx.request_repaint_after(Duration::ZERO);
        }
    }
}
