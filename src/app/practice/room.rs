//! The practice page at work: its state, the thread beside it, and what each command does.

use std::{io, path::PathBuf, sync::Arc, time::Duration};

use super::{
    command::Command,
    diary::{Diary, Keeping, Left, left_behind},
    files::seconds,
    state::{Back, Gauge, Go, Pending, Practice, Stage, Wish},
    work::{Aim, Report, Task, work},
};
use crate::{
    app::{
        home::Home,
        latest::{Latest, Wake, start},
        model::{Model, Refusal},
        settings::Practised,
    },
    fault::Site,
    notebook::Job,
    practice::{Move, Session},
    quantity::{Unit, typed_number},
};

#[derive(Clone)]
struct Request {
    serial: u64,
    task: Task,
    gauge: Arc<Gauge>,
}

/// The page and its thread.
pub struct Room {
    state: Practice,
    thread: Latest<Request, (u64, Report)>,
    serial: u64,
    /// Where sessions are kept while they go on.
    diaries: Option<PathBuf>,
    /// Where records are kept unless another folder is chosen.
    usual: String,
}

impl Room {
    /// Starts the thread. With a home on disk, sessions are kept there while they go on, what was left is offered in
    /// [`Practice::left`], and records of trainees have their place there; without one nothing is kept.
    ///
    /// # Errors
    /// The system refuses a thread.
    pub fn start(home: Option<&Home>, practised: &Practised, wake: Wake) -> io::Result<Self> {
        let noted = Arc::clone(&wake);
        let thread = start(
            "practice",
            Duration::ZERO,
            wake,
            move |request: &Request, _| {
                let report = work(&request.task, &request.gauge, &*noted);
                (request.serial, report)
            },
            |request, text| {
                let remedy = "Try something else, and report this";
                (
                    request.serial,
                    Report::Refused(Refusal::new("", text, remedy)),
                )
            },
        )?;
        let usual = home.map_or_else(String::new, |home| home.trainees().display().to_string());
        let diaries = home.map(Home::sessions);
        let (left, mut troubles) = diaries.as_deref().map(left_behind).unwrap_or_default();
        Ok(Self {
            state: Practice {
                wish: Wish {
                    trainee: practised.trainee.clone(),
                    ..Wish::default()
                },
                folder: practised.folder.clone().unwrap_or_else(|| usual.clone()),
                draft: practised.draft.clone().mended(),
                left,
                trouble: troubles.pop(),
                ..Practice::default()
            },
            thread,
            serial: 0,
            diaries,
            usual,
        })
    }

    /// What is to be remembered for the next start.
    pub fn practised(&self) -> Practised {
        let folder = &self.state.folder;
        Practised {
            trainee: self.state.wish.trainee.trim().to_owned(),
            folder: (*folder != self.usual).then(|| folder.clone()),
            draft: self.state.draft.clone(),
        }
    }

    /// The state to draw.
    pub fn state(&self) -> &Practice {
        &self.state
    }

    /// Waits until nothing is being worked on, and takes it in.
    pub fn settle(&mut self) {
        loop {
            self.thread.settle();
            if !self.poll() {
                return;
            }
        }
    }

    /// Takes in what the thread has finished; once per frame. Answers whether anything changed.
    pub fn poll(&mut self) -> bool {
        let mut changed = false;
        while let Some((serial, report)) = self.thread.answer() {
            let awaited = self.state.pending.as_ref();
            // What was called off or overtaken is no longer of interest.
            if awaited.is_none_or(|pending| pending.serial != serial) {
                continue;
            }
            self.state.pending = None;
            self.take(report);
            changed = true;
        }
        changed
    }

    /// Carries a command out.
    pub fn send(&mut self, command: Command) {
        let state = &mut self.state;
        match command {
            Command::Show(stage) => self.show(stage),
            Command::Wish(wish) => state.wish = wish,
            Command::Use(source) => state.source = source,
            Command::Open(path) => self.ask("Reading the file", Task::Open(path)),
            Command::Start => self.begin(),
            Command::Again => {
                if let Some(go) = &state.go {
                    let task = Task::Again(Arc::clone(&go.session), go.drill, go.seed);
                    self.ask("Preparing the vehicle", task);
                }
            }
            Command::Do(done) => self.make(vec![done]),
            Command::TakeUp(left) => self.ask("Going on with the session", Task::TakeUp(left)),
            Command::Forget(left) => {
                left.diary.clear();
                state.left.retain(|other| !other.is(&left));
            }
            Command::Later => state.left.iter_mut().for_each(|left| left.asks = false),
            Command::Follow(test) => {
                if let Some((session, keeping)) = self.under_way() {
                    self.ask("Measuring", Task::Follow(session, test, keeping));
                }
            }
            Command::Point(point) => self.on_go(|go| {
                go.bench.selection.part = None;
                go.bench.selection.point = point;
            }),
            Command::Part(part) => self.on_go(|go| {
                if let Some(id) = &part {
                    go.place.clone_from(id);
                    go.metres.clear();
                }
                go.bench.selection.part = part;
            }),
            Command::Kind(kind) => self.on_go(|go| go.bench.entry.kind = kind),
            Command::Black(point) => self.on_go(|go| go.bench.entry.black = point),
            Command::Place(place, metres) => {
                self.on_go(|go| (go.place, go.metres) = (place, metres))
            }
            Command::OpenUp => self.open_up(),
            Command::LookBack => self.look_back(),
            Command::CallOff => {
                if let Some(pending) = state.pending.take() {
                    pending.gauge.stop();
                }
            }
            Command::Replay(at) => {
                if let Some(back) = &mut state.back {
                    back.show(at);
                }
            }
            Command::Folder(folder) => {
                state.folder = folder;
                self.read_records();
            }
            Command::Trainee(at) => state.trainee = at,
            Command::Page { to, all } => {
                let one = (!all).then_some(state.trainee);
                let trainees = state.trainees.clone();
                self.ask("Writing the page", Task::Page { to, trainees, one });
            }
            Command::Draft(draft) => state.draft = draft,
            Command::Write(job) => {
                let draft = state.draft.clone();
                self.ask("Trying the exercise", Task::Write(job, draft));
            }
        }
    }

    fn ask(&mut self, what: &'static str, task: Task) {
        // One thing after the other: what is under way is finished or called off first.
        if self.state.pending.is_some() {
            return;
        }
        self.serial += 1;
        let gauge = Arc::new(Gauge::default());
        self.state.pending = Some(Pending {
            serial: self.serial,
            what,
            gauge: Arc::clone(&gauge),
        });
        (self.state.trouble, self.state.news) = (None, None);
        self.thread.ask(Request {
            serial: self.serial,
            task,
            gauge,
        });
    }

    fn refuse(&mut self, what: impl Into<String>, remedy: &str) {
        self.state.trouble = Some(Refusal::new("", what, remedy));
    }

    fn under_way(&self) -> Option<(Arc<Session>, Keeping)> {
        let go = self.state.go.as_ref()?;
        let keeping = Keeping {
            folder: self.diaries.clone(),
            diary: go.diary.clone(),
            aim: go.drill,
            seed: go.seed,
            trainee: go.trainee.clone(),
        };
        Some((Arc::clone(&go.session), keeping))
    }

    fn on_go(&mut self, change: impl FnOnce(&mut Go)) {
        if let Some(go) = &mut self.state.go {
            change(go);
        }
    }

    fn show(&mut self, stage: Stage) {
        let there = match stage {
            Stage::Vehicle => self.state.go.is_some(),
            Stage::Back => self.state.back.is_some(),
            Stage::Choose | Stage::Progress | Stage::Author => true,
        };
        if there {
            self.state.stage = stage;
            (self.state.trouble, self.state.news) = (None, None);
        }
        if stage == Stage::Progress {
            self.read_records();
        }
    }

    fn read_records(&mut self) {
        let folder = self.state.folder.trim();
        if folder.is_empty() {
            self.state.trainees.clear();
            return;
        }
        let folder = PathBuf::from(folder);
        self.ask("Reading the records", Task::Records(folder));
    }

    fn begin(&mut self) {
        let wish = &self.state.wish;
        let typed = wish.seed.trim();
        let seed = match typed.parse::<u64>() {
            Ok(seed) => seed,
            // Few figures, so that it can be read out to somebody else.
            Err(_) if typed.is_empty() => seconds() % 1_000_000,
            Err(_) => {
                let what = format!("“{typed}” is no seed");
                self.refuse(what, "Type a whole number, or nothing for a new vehicle");
                return;
            }
        };
        let aim = Some((wish.drill, wish.level));
        let source = self.state.source.clone();
        self.ask("Preparing the vehicle", Task::Start(source, aim, seed));
    }

    fn make(&mut self, moves: Vec<Move>) {
        let Some((session, keeping)) = self.under_way() else {
            return;
        };
        let what = match moves.first() {
            Some(Move::Hint) => "Thinking about a hint",
            _ => "Measuring",
        };
        self.ask(what, Task::Moves(session, moves, keeping));
    }

    fn open_up(&mut self) {
        let Some(go) = &self.state.go else { return };
        let metres = match go.metres.trim() {
            "" => None,
            typed => match typed_number(typed, Unit::Metres) {
                Ok(metres) => Some(metres),
                Err(error) => {
                    let remedy = "Type metres from the wire's beginning, or nothing for all of it";
                    return self.refuse(error.to_string(), remedy);
                }
            },
        };
        match go.place.parse::<Site>() {
            Ok(site) => self.make(vec![Move::Open {
                site,
                metres,
                reach: None,
            }]),
            Err(error) => self.refuse(error.to_string(), ""),
        }
    }

    fn look_back(&mut self) {
        let Some((session, keeping)) = self.under_way() else {
            return;
        };
        // What was looked back on stands in the record, and once is enough.
        let mut back = self.state.back.iter();
        if back.any(|back| Arc::ptr_eq(&back.session, &session)) {
            return self.show(Stage::Back);
        }
        let records = self.state.folder.trim();
        let records = (!records.is_empty()).then(|| PathBuf::from(records));
        let task = Task::LookBack {
            session,
            keeping,
            records,
        };
        self.ask("Looking back", task);
    }

    /// Puts a vehicle in front; the one before it stays among what is not finished.
    fn bring(&mut self, session: Session, wish: (Aim, u64, String), diary: Option<Arc<Diary>>) {
        let exercise = session.exercise();
        let bench = Model::new(Job {
            title: exercise.title.clone(),
            circuit: exercise.circuit.clone(),
            meter: exercise.meter.clone(),
            log: session.log().to_vec(),
            now: session.now().clone(),
            ..Job::default()
        });
        let state = &mut self.state;
        state.left.extend(state.go.as_ref().and_then(Go::left));
        let (drill, seed, trainee) = wish;
        state.go = Some(Go {
            number: self.serial,
            bench,
            drill,
            seed,
            trainee,
            session: Arc::new(session),
            place: String::new(),
            metres: String::new(),
            diary,
        });
        state.back = None;
        state.stage = Stage::Vehicle;
    }

    /// Looks back where it is over: nothing else is left to do then.
    fn end(&mut self) {
        let over = self
            .state
            .go
            .as_ref()
            .is_some_and(|go| go.session.is_over());
        if over && self.state.trouble.is_none() {
            self.look_back();
        }
    }

    fn take(&mut self, report: Report) {
        let state = &mut self.state;
        match report {
            Report::Started(session, drill, seed) => {
                let trainee = state.wish.trainee.trim().to_owned();
                self.bring(*session, (drill, seed, trainee), None);
            }
            Report::TakenUp(session, left) => {
                state.left.retain(|other| !other.is(&left));
                let Left {
                    unfinished, diary, ..
                } = left;
                let trainee = unfinished.trainee.clone();
                self.bring(
                    *session,
                    (unfinished.aim(), unfinished.seed, trainee),
                    Some(diary),
                );
                self.end();
            }
            Report::Moved(session, diary, refused) => {
                self.on_go(|go| {
                    go.session = Arc::new(*session);
                    go.diary = diary;
                    go.follow();
                });
                self.state.trouble = refused;
                self.end();
            }
            Report::LookedBack(debrief, done, kept) => {
                let Some(go) = &state.go else { return };
                let mut back = Back {
                    number: self.serial,
                    session: Arc::clone(&go.session),
                    bench: go.bench.clone(),
                    debrief: Arc::new(*debrief),
                    done: *done,
                    trainee: go.trainee.clone(),
                    kept,
                    at: 0,
                };
                back.show(back.debrief.looked.len().saturating_sub(1));
                state.back = Some(Box::new(back));
                state.stage = Stage::Back;
            }
            Report::Chosen(source) => {
                state.source = source;
                state.stage = Stage::Choose;
            }
            Report::Records(folder, trainees) => {
                state.folder = folder.display().to_string();
                state.trainee = state.trainee.min(trainees.len().saturating_sub(1));
                state.trainees = trainees;
                state.stage = Stage::Progress;
            }
            Report::Told(news) => state.news = Some(news),
            Report::Refused(refusal) => state.trouble = Some(refusal),
        }
    }
}

impl Drop for Room {
    /// Nobody waits for what is under way any more, so that the thread ends soon.
    fn drop(&mut self) {
        if let Some(pending) = &self.state.pending {
            pending.gauge.stop();
        }
    }
}
