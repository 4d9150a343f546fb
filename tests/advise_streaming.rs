//! The window shows the findings while the next test is still being worked out, and what single faults explain while those
//! together are still being weighed.

mod support;

use std::{
    cell::RefCell,
    collections::BTreeSet,
    sync::{
        Arc,
        atomic::{AtomicUsize, Ordering},
    },
};

use pinchpoint::{
    advise::Best,
    app::{Session, command::Log},
    circuit::quick::quick_feed,
    diagnosis::{Question, diagnose, diagnose_in_steps},
    explain::{headline, next_words, reading_lines},
    fault::FaultKind,
    infer::{
        candidate::{Candidate, candidates},
        lower::Model,
        predict::{Prediction, Predictor},
        solve::Fault,
    },
    notebook::Job,
    quantity::units::volts,
    reading::{Entry, Meter, Reading, State, Value},
};
use support::circuits::tender;

#[test]
fn findings_are_handed_out_before_the_advice_and_the_whole_answer_stays() {
    let told = Arc::new(AtomicUsize::new(0));
    let count = Arc::clone(&told);
    let pin = "M1.feed".parse().expect("a point");
    let job = Job {
        circuit: tender(),
        log: vec![Entry::Reading(Reading::volts(pin, 0.66))],
        ..Job::default()
    };
    let mut session = Session::with_steps(job, Arc::new(|| {}), move |question, go_on, early| {
        diagnose_in_steps(question, go_on, &|findings| {
            assert_eq!(findings.next.best, Best::Pending);
            count.fetch_add(1, Ordering::SeqCst);
            early(findings);
        })
    })
    .expect("threads");
    session.settle();
    assert_eq!(told.load(Ordering::SeqCst), 1);
    let best = |session: &Session| session.model().current_findings().map(|f| f.next.best);
    assert!(matches!(best(&session), Some(Best::Test | Best::OpenUp)));
    session.send(Log::Remove(0));
    session.settle();
    assert_eq!(told.load(Ordering::SeqCst), 2);
    assert_eq!(best(&session), Some(Best::Test));
}

/// A feed of 40 sensors of which two are shorted, read 40 times at the module's pin with one plug after the other parted.
fn two_shorted() -> Job {
    let circuit = quick_feed(volts(9.0), 40, true, true);
    let mut log: Vec<Entry> = (0..40)
        .map(|reading| {
            let mut state = State::default();
            if reading > 0 {
                let plug = reading % (circuit.connectors.len() - 1) + 1;
                state.unplugged.insert(circuit.connectors[plug].id.clone());
            }
            Entry::Reading(Reading {
                state,
                ..Reading::volts("M1.feed".parse().expect("a point"), 0.0)
            })
        })
        .collect();
    let model = Model::new(&circuit, &Meter::default(), &log, &[]);
    let shorted = |c: &Candidate| c.kind == FaultKind::DrawsTooMuch;
    let list = candidates(&circuit, &model);
    let sensors: Vec<&Candidate> = list.iter().filter(|c| shorted(c)).collect();
    let faults: Vec<Fault> = [(4, 5.0), (19, 8.0)]
        .map(|(sensor, ohms)| sensors[sensor].fault(f64::ln(ohms)))
        .to_vec();
    let mut prediction = Prediction::default();
    Predictor::new(&model).predict(&faults, &[[0.0; 4]], false, &mut prediction);
    for (entry, value) in log.iter_mut().zip(prediction.value) {
        if let Entry::Reading(reading) = entry {
            reading.value = Value::Exactly((value * 1e4).round() / 1e4);
        }
    }
    Job {
        circuit,
        log,
        ..Job::default()
    }
}

#[test]
fn what_one_fault_explains_is_told_before_those_together_are_weighed() {
    let job = two_shorted();
    let (now, everywhere) = (State::default(), BTreeSet::new());
    let question = Question {
        circuit: &job.circuit,
        meter: &Meter::default(),
        log: &job.log,
        now: &now,
        out_of_reach: &everywhere,
    };
    let told = RefCell::new(Vec::new());
    let whole = diagnose_in_steps(&question, &|| true, &|findings| {
        told.borrow_mut().push(findings.clone());
    });
    let told = told.into_inner();
    let steps: Vec<Best> = told.iter().map(|findings| findings.next.best).collect();
    assert_eq!(steps, [Best::Searching, Best::Pending]);
    let most = |at: usize| told[at].combinations.iter().map(|c| c.faults.len()).max();
    assert_eq!((most(0), most(1)), (Some(1), Some(2)));
    // Nobody is accused before all is weighed, be one fault alone as likely beside the others as it may, and no reading is.
    let said = headline(&question, &told[0]);
    assert_eq!(said.line, "No single fault explains every reading");
    assert_eq!((said.probability, told[0].named().len()), (None, 0));
    let lines = reading_lines(&question, &told[0]);
    assert!(lines.iter().all(|line| line.mistake.is_none()));
    assert!(headline(&question, &told[1]).probability.is_some());
    let words = next_words(&question, &told[0]).line;
    assert_eq!(words, "Faults together are still being weighed");
    // What was told on the way changes nothing in the end.
    assert_eq!(whole, diagnose(&question));
}
