//! What takes its time: exercises are made and checked, moves measured, hints and looks back computed, files read and
//! written, all on a thread beside the window.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use super::{
    diary::{Diary, Keeping, Left},
    files::{keep, records, refusal},
    page::{group_page, trainee_page},
    state::{Draft, Fault, Gauge, Kept, Source, Trainee},
};
use crate::{
    advise::Test,
    app::{model::Refusal, today::today},
    circuit::{Circuit, Point, Terminal, check},
    fault::{FaultKind, Site},
    notebook::{
        Job, read_job,
        training::{Held, held, read_exercise, read_trainee, write_exercise},
        whole::write_whole,
    },
    practice::{
        Debrief, Done, Drill, Exercise, Hidden, Level, Move, Session, World,
        exercise::{MOST_FAULTS, anonymous},
    },
    quantity::{Unit, typed_number},
    reading::{Entry, Meter, Reading, State},
    report::{Form, html::html, pdf::pdf},
};

/// What was practised, to begin it and to note it.
pub(super) type Aim = Option<(Drill, Level)>;

/// Something to do.
#[derive(Clone)]
pub(super) enum Task {
    Start(Source, Aim, u64),
    /// The same vehicle as in this session, with all as it was at the start.
    Again(Arc<Session>, Aim, u64),
    TakeUp(Left),
    Moves(Arc<Session>, Vec<Move>, Keeping),
    Follow(Arc<Session>, Box<Test>, Keeping),
    LookBack {
        session: Arc<Session>,
        keeping: Keeping,
        records: Option<PathBuf>,
    },
    Open(PathBuf),
    Records(PathBuf),
    Page {
        to: PathBuf,
        trainees: Vec<Trainee>,
        one: Option<usize>,
    },
    Write(Arc<Job>, Draft),
}

/// What came of it.
pub(super) enum Report {
    Started(Box<Session>, Aim, u64),
    TakenUp(Box<Session>, Left),
    Moved(Box<Session>, Option<Arc<Diary>>, Option<Refusal>),
    LookedBack(Box<Debrief>, Box<Done>, Kept),
    Chosen(Source),
    Records(PathBuf, Vec<Trainee>),
    Told(String),
    Refused(Refusal),
}

/// Does it. `noted` is called when the gauge has moved.
pub(super) fn work(task: &Task, gauge: &Gauge, noted: &dyn Fn()) -> Report {
    let go_on = || !gauge.is_stopped();
    let tell = |share: f32| {
        if gauge.note(share) {
            noted();
        }
        !gauge.is_stopped()
    };
    let done = match task {
        Task::Start(source, kind, seed) => start(source, *kind, *seed),
        Task::Again(session, aim, seed) => Session::start(session.exercise().clone())
            .map(|session| Report::Started(Box::new(session), *aim, *seed))
            .map_err(|error| told(&error)),
        Task::TakeUp(left) => left
            .unfinished
            .take_up(&go_on)
            .map(|session| Report::TakenUp(Box::new(session), left.clone()))
            .map_err(|error| told(&error)),
        Task::Moves(session, moves, keeping) => {
            let mut session = Session::clone(session);
            let refused = moves.iter().find_map(|done| {
                let made = session.make_while(done.clone(), &go_on);
                made.err().map(|error| told(&error))
            });
            Ok(moved(session, keeping, refused))
        }
        Task::Follow(session, test, keeping) => {
            let mut session = Session::clone(session);
            let refused = session.follow(test).err().map(|error| told(&error));
            Ok(moved(session, keeping, refused))
        }
        Task::LookBack {
            session,
            keeping,
            records,
        } => Debrief::of_while(session, &tell)
            .map(|debrief| looked_back(session, debrief, keeping, records.as_deref()))
            .map_err(|error| told(&error)),
        Task::Open(path) => open(path),
        Task::Records(folder) => {
            records(folder).map(|trainees| Report::Records(folder.clone(), trainees))
        }
        Task::Page { to, trainees, one } => page(to, trainees, *one),
        Task::Write(job, draft) => exercise(&job.circuit, draft)
            .map(|exercise| Exercise {
                meter: job.meter.clone(),
                ..exercise
            })
            .and_then(|exercise| write(&exercise, draft)),
    };
    done.unwrap_or_else(Report::Refused)
}

/// What was done is kept before anybody sees it.
fn moved(session: Session, keeping: &Keeping, refused: Option<Refusal>) -> Report {
    let begun = !session.steps().is_empty();
    let (diary, untold) = match begun.then(|| keeping.clone().keep(&session)) {
        None => (None, None),
        Some(Ok(diary)) => (diary, None),
        Some(Err(untold)) => (keeping.diary.clone(), Some(untold)),
    };
    Report::Moved(Box::new(session), diary, refused.or(untold))
}

/// The line goes into the record; then the session need not be kept any more.
fn looked_back(
    session: &Session,
    debrief: Debrief,
    keeping: &Keeping,
    records: Option<&Path>,
) -> Report {
    let title = &session.exercise().title;
    let done = Done {
        day: today(),
        ..Done::of(&debrief, title, keeping.aim, keeping.seed)
    };
    let kept = match (session.is_over(), keeping.trainee.as_str(), records) {
        (false, ..) => Kept::NotOver,
        (_, "", _) => Kept::NoName,
        (.., None) => Kept::NoFolder,
        (_, name, Some(folder)) => {
            keep(folder, name, done.clone()).map_or_else(Kept::Failed, Kept::In)
        }
    };
    let finished = session.is_over() && !matches!(kept, Kept::Failed(_));
    if let (true, Some(diary)) = (finished, &keeping.diary) {
        diary.clear();
    }
    Report::LookedBack(Box::new(debrief), Box::new(done), kept)
}

fn told(error: &dyn std::error::Error) -> Refusal {
    // What happened and what to do stand in one sentence, with a semicolon between them.
    let text = error.to_string();
    match text.rsplit_once("; ") {
        Some((what, remedy)) => Refusal::new("", what, remedy),
        None => Refusal::new("", text, ""),
    }
}

fn start(source: &Source, kind: Aim, seed: u64) -> Result<Report, Refusal> {
    let (exercise, kind, seed) = match (source, kind) {
        (Source::Exercise(_, exercise), _) => (Exercise::clone(exercise), None, exercise.seed),
        (_, None) => {
            let remedy = "Choose one of the drills";
            return Err(Refusal::new("", "no drill is chosen", remedy));
        }
        (Source::Invented, Some((drill, level))) => (drill.exercise(level, seed), kind, seed),
        (Source::Job(_, job), Some((drill, level))) => {
            let circuit = anonymous(&job.circuit);
            let exercise = drill.exercise_on(&circuit, &job.meter, level, seed);
            (exercise.map_err(|error| told(&error))?, kind, seed)
        }
    };
    let session = Session::start(exercise).map_err(|error| told(&error))?;
    Ok(Report::Started(Box::new(session), kind, seed))
}

/// A file as practice can use it: an exercise as it is, a record as its folder's, a job for its sketch.
fn open(path: &Path) -> Result<Report, Refusal> {
    let name = crate::app::words::file(path);
    match held(path) {
        Some(Held::Exercise) => {
            let exercise = read_exercise(path).map_err(|error| refusal(&error))?;
            Ok(Report::Chosen(Source::Exercise(name, Arc::new(exercise))))
        }
        Some(Held::Trainee) => {
            read_trainee(path).map_err(|error| refusal(&error))?;
            let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
            records(&folder).map(|trainees| Report::Records(folder, trainees))
        }
        None => {
            let opened = read_job(path).map_err(|error| refusal(&error))?;
            Ok(Report::Chosen(Source::Job(name, Arc::new(opened.job))))
        }
    }
}

fn page(to: &Path, trainees: &[Trainee], one: Option<usize>) -> Result<Report, Refusal> {
    let report = match one.and_then(|at| trainees.get(at)) {
        None => group_page(trainees),
        Some(trainee) => match &trainee.record {
            Ok(record) => trainee_page(record, &trainee.path),
            Err(what) => return Err(Refusal::new("", what, "Choose another trainee")),
        },
    };
    let shown = to.display().to_string();
    let bytes = match Form::of(to) {
        Some(Form::Html) => html(&report).into_bytes(),
        Some(Form::Pdf) => pdf(&report)
            .map_err(|error| Refusal::new(&*shown, error.to_string(), "Write it as .html"))?,
        Some(Form::Csv) | None => {
            let what = "the page is written as .html or .pdf";
            return Err(Refusal::new(shown, what, "End the name with one of these"));
        }
    };
    write_whole(to, &bytes).map_err(|error| refusal(&error))?;
    Ok(Report::Told(format!("The page is written: {shown}")))
}

fn write(exercise: &Exercise, draft: &Draft) -> Result<Report, Refusal> {
    exercise.check().map_err(|error| told(&error))?;
    let path = draft.path.trim();
    write_exercise(path.as_ref(), exercise).map_err(|error| refusal(&error))?;
    Ok(Report::Told(format!(
        "The exercise can be done, and is written: {path}"
    )))
}

/// The exercise as it is typed.
fn exercise(circuit: &Circuit, draft: &Draft) -> Result<Exercise, Refusal> {
    let circuit = anonymous(circuit);
    let hidden = hidden(&circuit, &draft.faults)?;
    Ok(Exercise {
        title: draft.title.trim().to_owned(),
        story: draft.story.trim().to_owned(),
        circuit,
        meter: Meter::default(),
        hidden,
        // The same values for everybody who does it.
        seed: u64::from(crc32fast::hash(draft.title.as_bytes())),
        given: Vec::new(),
        allowed: draft.allowed,
    })
}

fn hidden(circuit: &Circuit, faults: &[Fault]) -> Result<Vec<Hidden>, Refusal> {
    let one = |(number, fault): (usize, &Fault)| {
        let place = format!("Fault {number}");
        fault_of(circuit, fault).map_err(|(what, remedy)| Refusal::new(place, what, remedy))
    };
    (1..).zip(faults).map(one).collect()
}

/// What an exercise would read with everything plugged, at modules and at the near sides of connectors; nothing where
/// a fault is not yet one.
pub fn foretaste(circuit: &Circuit, meter: &Meter, faults: &[Fault]) -> Vec<Entry> {
    let world = hidden(circuit, faults).ok().and_then(|hidden| {
        let few = hidden.len() <= MOST_FAULTS;
        let sound = few && !check(circuit).iter().any(|complaint| complaint.fatal);
        sound.then(|| World::exact(circuit, &hidden, meter).ok())?
    });
    let Some(mut world) = world else {
        return Vec::new();
    };
    let feeds = circuit
        .supplies
        .iter()
        .map(|supply| (&supply.id, Terminal::Feed(1)));
    let near = circuit
        .connectors
        .iter()
        .map(|connector| (&connector.id, Terminal::Near(1)));
    let points: Vec<Point> = (feeds.chain(near))
        .map(|(id, terminal)| Point::new(id, terminal))
        .collect();
    let shown = world.survey(&points, &State::default());
    (points.into_iter().zip(shown))
        .filter_map(|(point, value)| {
            let value = value?;
            Some(Entry::Reading(Reading {
                value,
                ..Reading::volts(point, 0.0)
            }))
        })
        .collect()
}

fn fault_of(circuit: &Circuit, fault: &Fault) -> Result<Hidden, (String, &'static str)> {
    let place = fault.place.parse::<Site>();
    let mut place = place.map_err(|error| (error.to_string(), "Name what has the fault"))?;
    if !fault.with.trim().is_empty() {
        place.with = Some(fault.with.trim().to_owned());
    }
    let number = |text: &str, unit| {
        typed_number(text, unit).map_err(|error| (error.to_string(), "Type a number"))
    };
    let size = match fault.kind {
        FaultKind::SupplyLow | FaultKind::LimitsEarly => share(&fault.size)?,
        FaultKind::Open | FaultKind::DrawsNothing | FaultKind::SupplyDead => 1.0,
        _ => number(&fault.size, Unit::Ohms)?,
    };
    let wire = circuit.wire(&place.part);
    let hidden = Hidden::new(place, fault.kind, size);
    let Some(wire) = wire.filter(|_| !fault.metres.trim().is_empty()) else {
        return Ok(hidden);
    };
    let length = wire.length_or_assumed();
    let at = number(&fault.metres, Unit::Metres)?;
    if !(0.0..=length).contains(&at) {
        let what = format!("{} is {length:.2} m long, and {at} is not on it", wire.id);
        return Err((what, "Give metres from 0 to its length"));
    }
    Ok(hidden.at(at / length.max(f64::MIN_POSITIVE)))
}

/// What is left of a supply, typed in percent.
fn share(text: &str) -> Result<f64, (String, &'static str)> {
    let text = text.trim();
    let number = text.strip_suffix('%').unwrap_or(text).trim_end();
    let percent = number.replace(',', ".").parse::<f64>().ok();
    match percent.filter(|percent| *percent > 0.0 && *percent < 100.0) {
        Some(percent) => Ok(percent / 100.0),
        None => Err((
            format!(
                "“{}” is no percentage",
                text.chars().take(40).collect::<String>()
            ),
            "Type what is left of it: more than 0 and less than 100 %",
        )),
    }
}
