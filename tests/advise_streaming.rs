//! The window shows the findings while the next test is still being worked out.

mod support;

use std::sync::{
    Arc,
    atomic::{AtomicUsize, Ordering},
};

use pinchpoint::{
    advise::Best,
    app::{Session, command::Log},
    diagnosis::diagnose_in_steps,
    notebook::Job,
    reading::{Entry, Reading},
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
