//! Going back keeps what stands: a walk back over a whole job and forward with Enter alone leaves its record as it was.

use crate::bench::{AT, DEMOS, answers_of};
use crate::engine::{answer, asked, before, entries, give, job, refused};
use crate::fronts::Terminal;
use crate::procedures::{WALKED, answers, started};
use portable_pty::CommandBuilder;
use shimwright::bench::{Answers, Front, Interactive, Lines, Paper, answers_line};
use shimwright::procedure::{Ask, Expects, Reply, Session, form};
use shimwright::quantity::Units;
use shimwright::record::{Build, Entry, Value};
use std::collections::BTreeMap;
use std::time::Duration;

/// What a person types on the way forward: Enter keeps, but for what is passed again by hand.
fn forward(ask: &Ask) -> &'static str {
    match ask.expects {
        Expects::Acknowledge | Expects::YesNo if ask.guarded || ask.expects == Expects::Acknowledge => "yes",
        // the springs of the demonstrations are all good
        _ if ask.guarded => "good",
        _ => "",
    }
}

fn reply(text: &str) -> Reply {
    match text.strip_prefix("!skip ") {
        Some(reason) => Reply::Skip(reason.into()),
        None => match text.strip_prefix("!note ") {
            Some(note) => Reply::Note(note.into()),
            None if text == "!back" => Reply::Back,
            None if text == "!why" => Reply::Why,
            None => Reply::Answer(text.into()),
        },
    }
}

/// A job with all but its last answer, and that one.
fn nearly_done(unit: &str, procedure: &str) -> (Session, Reply) {
    let text = match procedure {
        "full-rebuild" => answers_of(unit),
        other => answers(unit, other),
    };
    let mut session = started(unit, procedure);
    let lines: Vec<&str> = text.lines().filter(|line| !line.starts_with('#')).collect();
    let (last, lines) = lines.split_last().unwrap();
    for line in lines {
        give(&mut session, &reply(line.split_once(" = ").unwrap().1)).unwrap();
    }
    (session, reply(last.split_once(" = ").unwrap().1))
}

/// The record, with its remarks in an order that does not hang on which entry was written first.
fn record(session: &Session) -> Build {
    let mut build = session.build("demo-0001", "ab");
    // the walk itself makes it longer
    build.on_paper.lines = 0;
    build
        .remarks
        .sort_by_key(|remark| (remark.place.clone(), remark.kind.word(), remark.text.clone()));
    build
}

fn values(session: &Session) -> BTreeMap<(u32, String), Value> {
    session
        .answers()
        .map(|(slot, value)| ((slot.round, slot.to_string()), value.clone()))
        .collect()
}

/// In what a job differs after the walk.
fn differences(before: &Session, after: &Session) -> Vec<String> {
    let (was, is) = (values(before), values(after));
    let mut found: Vec<String> = was
        .iter()
        .filter(|(slot, value)| is.get(*slot) != Some(value))
        .map(|((round, slot), value)| format!("{slot}, round {round}, was {value:?}"))
        .collect();
    if was.len() != is.len() {
        found.push(format!("{} answers were {}", is.len(), was.len()));
    }
    if found.is_empty() && record(before) != record(after) {
        found.push("the record".into());
    }
    found
}

/// Every question of a job again, with what is typed at it on the way forward, from the first to the last but one.
fn all_again(unit: &str, procedure: &str) -> Vec<(Ask, &'static str)> {
    let (mut session, _) = nearly_done(unit, procedure);
    let questions = session.answered();
    for _ in 0..questions {
        give(&mut session, &Reply::Back).unwrap();
    }
    assert_eq!(session.answered(), 0);
    (0..questions)
        .map(|_| {
            let ask = asked(&session);
            let text = forward(&ask);
            give(&mut session, &Reply::Answer(text.into()))
                .unwrap_or_else(|refusal| panic!("{unit} {procedure}, {}: {}", ask.slot, refusal.words));
            (ask, text)
        })
        .collect()
}

/// Puts the questions of a job through a front-end until it is done; the answers must all be taken.
fn put_through(front: &mut dyn Front, session: &mut Session) {
    while let Some(ask) = session.ask() {
        let reply = front.ask(&ask).unwrap();
        if reply == Reply::Pause {
            panic!("{} was not answered", ask.slot);
        }
        match session.answer(&reply, AT) {
            Ok(taken) => {
                let said = session.apply(&taken.entries);
                front.say(&said).unwrap();
            }
            Err(refusal) => panic!("{}: {}", ask.slot, refusal.words),
        }
    }
}

/// Every job of the demonstrations: unit and procedure.
fn jobs() -> Vec<(&'static str, &'static str)> {
    let whole = DEMOS.map(|unit| (unit, "full-rebuild"));
    whole.into_iter().chain(WALKED).collect()
}

fn last_line(last: &Reply) -> String {
    match last {
        Reply::Answer(text) => text.clone(),
        Reply::Skip(reason) => format!("!skip {reason}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn enter_keeps_every_answer_of_every_job_in_lines_on_paper_and_in_a_file() {
    for (unit, procedure) in jobs() {
        let (done, last) = {
            let (mut session, last) = nearly_done(unit, procedure);
            give(&mut session, &last).unwrap();
            (session, last)
        };
        let again = all_again(unit, procedure);
        let typed: String = again
            .iter()
            .map(|(_, text)| format!("{text}\n"))
            .chain([format!("{}\n", last_line(&last))])
            .collect();
        let (open, _) = nearly_done(unit, procedure);
        let file: String = again
            .iter()
            .map(|(ask, text)| answers_line(&ask.slot, &Reply::Answer((*text).into())))
            .chain([answers_line(&asked(&open).slot, &last)])
            .map(|line| format!("{line}\n"))
            .collect();
        let lines = || Lines::new(typed.as_bytes(), Vec::new(), 80, false);
        let paper = form(open.job().clone(), Units::Metric, ["a", "b"]);
        let fronts: [(&str, Box<dyn Front + '_>); 3] = [
            ("lines", Box::new(lines())),
            ("paper", Box::new(Paper::new(lines(), paper))),
            ("a file", Box::new(Answers::parse(&file, "again").unwrap())),
        ];
        for (name, mut front) in fronts {
            let (mut session, _) = nearly_done(unit, procedure);
            while session.answered() > 0 {
                give(&mut session, &Reply::Back).unwrap();
            }
            put_through(&mut *front, &mut session);
            let found = differences(&done, &session);
            assert!(found.is_empty(), "{unit} {procedure} by {name}: {found:#?}");
        }
    }
}

/// What the child of the test on a terminal is called, and where it finds its unit.
const CHILD: &str = "keeps::the_one_on_the_terminal";
const UNIT: &str = "SHIMWRIGHT_WALKED_UNIT";

/// Does nothing in an ordinary run; with a unit it is the bench on the terminal.
#[test]
fn the_one_on_the_terminal() {
    let Ok(unit) = std::env::var(UNIT) else {
        return;
    };
    let (mut session, _) = nearly_done(&unit, "full-rebuild");
    let mut front = Interactive::new(false).unwrap().settling(Duration::ZERO);
    while let Some(ask) = session.ask() {
        let reply = front.ask(&ask).unwrap();
        match session.answer(&reply, AT) {
            Ok(taken) => drop(session.apply(&taken.entries)),
            Err(refusal) => front.refuse(&refusal).unwrap(),
        }
    }
    let (mut done, last) = nearly_done(&unit, "full-rebuild");
    give(&mut done, &last).unwrap();
    println!("\nWALKED {:?} END", differences(&done, &session));
    std::process::exit(0);
}

fn walk_on_a_terminal(unit: &str) {
    let mut command = CommandBuilder::new(std::env::current_exe().unwrap());
    command.args(["--exact", CHILD, "--nocapture", "--test-threads=1"]);
    command.env("TERM", "xterm-256color");
    command.env("NO_COLOR", "1");
    command.env(UNIT, unit);
    let mut terminal = Terminal::run(command);
    // a session beside it knows which question stands on the screen
    let (mut session, last) = nearly_done(unit, "full-rebuild");
    while session.answered() > 0 {
        terminal.see_question(&asked(&session));
        terminal.give_line("!back");
        give(&mut session, &Reply::Back).unwrap();
    }
    let again = all_again(unit, "full-rebuild");
    for (ask, text) in &again {
        let screen = terminal.see_question(ask);
        let stood = ask.before.is_some();
        let flat = screen.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(stood, text.is_empty(), "{}\n{screen}", ask.slot);
        assert!(
            !stood || flat.contains("Enter keeps it"),
            "{}\n{screen}",
            ask.slot
        );
        terminal.give_line(text);
        give(&mut session, &Reply::Answer((*text).into())).unwrap();
    }
    terminal.see_question(&asked(&session));
    terminal.give(&last);
    terminal.see(&["WALKED [] END"]);
}

#[test]
fn enter_keeps_a_rebuild_of_two_rounds_with_a_choice_by_hand_on_a_terminal() {
    walk_on_a_terminal("fell-front");
}

#[test]
fn enter_keeps_a_rebuild_with_disc_springs_on_a_terminal() {
    walk_on_a_terminal("moor-rear");
}

#[test]
fn enter_keeps_a_rebuild_with_coils_on_a_terminal() {
    walk_on_a_terminal("shoal-rear");
}

#[test]
fn enter_keeps_a_word_with_what_was_written_behind_it() {
    let mut session = before("moor-rear", "plate-look/C8");
    answer(&mut session, "burnt at the outer edge").unwrap();
    give(&mut session, &Reply::Back).unwrap();
    assert_eq!(asked(&session).before.as_deref(), Some("burnt"));
    answer(&mut session, "").unwrap();
    give(&mut session, &Reply::Back).unwrap();
    assert!(
        asked(&session)
            .prompt
            .contains("before: burnt at the outer edge; Enter keeps it")
    );
}

#[test]
fn a_choice_by_hand_stands_there_again_and_is_gone_on_from() {
    let mut session = before("moor-rear", "choose");
    answer(&mut session, "swap G1 G2").unwrap();
    let drawn = asked(&session).drawing;
    answer(&mut session, "hand to try it").unwrap();
    let chosen = session.chosen().cloned();
    give(&mut session, &Reply::Back).unwrap();
    let ask = asked(&session);
    assert_eq!(ask.drawing, drawn);
    assert!(
        ask.prompt.contains("before: by hand: swap G1 G2; Enter keeps it"),
        "{}",
        ask.prompt
    );
    answer(&mut session, "").unwrap();
    assert_eq!(session.chosen().cloned(), chosen);
    // a further change is one on top of it, and then Enter keeps nothing
    give(&mut session, &Reply::Back).unwrap();
    answer(&mut session, "swap C1 C2").unwrap();
    assert_eq!(asked(&session).before, None);
    assert!(answer(&mut session, "").is_err());
    answer(&mut session, "hand to try it").unwrap();
    assert_eq!(session.chosen().unwrap().how, "by hand: swap G1 G2, swap C1 C2");
}

#[test]
fn a_proposal_that_was_wished_for_is_kept_and_not_the_first_without_the_wish() {
    let mut session = before("moor-rear", "choose");
    answer(&mut session, "without 0.50").unwrap();
    answer(&mut session, "2").unwrap();
    let chosen = session.chosen().cloned();
    give(&mut session, &Reply::Back).unwrap();
    answer(&mut session, "").unwrap();
    assert_eq!(session.chosen().cloned(), chosen);
}

#[test]
fn what_could_not_be_answered_any_more_is_not_kept() {
    // with G4 rejected, what was chosen with it has a fault
    let mut session = before("moor-rear", "choose");
    answer(&mut session, "1").unwrap();
    let plate = session.chosen().unwrap().sides[0].plates[1].clone();
    while asked(&session).slot.to_string() != format!("plate-look/{plate}") {
        give(&mut session, &Reply::Back).unwrap();
    }
    answer(&mut session, "cracked").unwrap();
    while asked(&session).slot.step != "choose" {
        answer(&mut session, "").unwrap();
    }
    let ask = asked(&session);
    assert_eq!(ask.before, None);
    assert!(ask.prompt.contains("(before: proposal 1)"), "{}", ask.prompt);
    assert!(answer(&mut session, "").is_err());
}

#[test]
fn a_caution_and_a_guarding_look_are_passed_by_hand_again() {
    for (slot, yes) in [
        ("caution-spring", "yes"),
        ("inspect-case", "yes"),
        ("spring-look/left", "good"),
    ] {
        let mut session = before("moor-rear", slot);
        answer(&mut session, yes).unwrap();
        give(&mut session, &Reply::Back).unwrap();
        assert_eq!(asked(&session).before, None, "{slot}");
        for text in ["", "y", "go"] {
            assert!(answer(&mut session, text).is_err(), "{slot}: {text:?}");
        }
        answer(&mut session, yes).unwrap();
    }
}

#[test]
fn a_no_to_the_way_of_the_rings_stops_the_way_until_it_is_put_right() {
    let mut session = before("moor-rear", "ring-way/left");
    let taken = session.answer(&Reply::Answer("no".into()), AT).unwrap();
    let said = session.apply(&taken.entries);
    assert!(said[0].words.contains("the way stops here"), "{said:?}");
    for look in 2..4 {
        let ask = asked(&session);
        assert_eq!(ask.slot.to_string(), format!("ring-way/left/{look}"));
        assert!(ask.prompt.contains(&format!("look {look}")), "{}", ask.prompt);
        assert!(
            session
                .build("x", "y")
                .open
                .iter()
                .any(|point| point.starts_with("answered no: The ring"))
        );
        assert!(give(&mut session, &Reply::Skip("later".into())).is_err());
        answer(&mut session, if look == 3 { "yes" } else { "no" }).unwrap();
    }
    assert_eq!(asked(&session).slot.to_string(), "laid-in/right/gears");
    let build = session.build("x", "y");
    assert!(!build.open.iter().any(|point| point.starts_with("answered no")));
    let rings: Vec<_> = build
        .checks
        .iter()
        .filter(|(what, _)| what.starts_with("left: The ring"))
        .collect();
    assert_eq!(rings.len(), 1);
    assert_eq!(rings[0].1, "yes");
    let put_right = build
        .remarks
        .iter()
        .filter(|remark| remark.kind.word() == "put right");
    assert_eq!(put_right.count(), 2);
}

#[test]
fn a_crack_is_an_open_point_as_before() {
    let mut session = before("moor-rear", "inspect-case");
    answer(&mut session, "no").unwrap();
    assert_ne!(asked(&session).slot.step, "inspect-case");
    let open = session.build("x", "y").open;
    assert!(
        open.iter()
            .any(|point| point.starts_with("answered no: Case slots")),
        "{open:?}"
    );
}

#[test]
fn an_old_journal_whose_rings_were_no_replays_as_it_was() {
    // the procedure that its build was begun with knows no guard
    let mut old = job("moor-rear");
    for stage in &mut old.procedure.stages {
        for step in &mut stage.steps {
            step.guard = None;
        }
    }
    let mut all = entries("moor-rear");
    for entry in &mut all {
        if let Entry::Answered {
            slot, text, value, ..
        } = entry
            && slot.step == "ring-way"
        {
            *text = "no".into();
            *value = Value::Yes(false);
        }
    }
    let session = Session::resume(old, &all);
    assert!(session.is_finished() && session.ask().is_none());
    let open = session.build("x", "y").open;
    assert_eq!(
        open.iter()
            .filter(|point| point.contains("The ring that now lies in"))
            .count(),
        2,
        "{open:?}"
    );
}

#[test]
fn the_second_person_is_somebody_else() {
    for name in [
        "A. Fitter (invented)",
        "a.fitter (INVENTED)",
        "  A.  Fitter  (invented) ",
    ] {
        let (words, sure) = refused("moor-rear", "sign-checked", name);
        assert!(
            !sure && words.contains("a second person is somebody else"),
            "{words}"
        );
    }
    answer(&mut before("moor-rear", "sign-checked"), "B. Second (invented)").unwrap();
    // who signed for the work is no second person either
    let mut session = before("moor-rear", "sign-built");
    assert!(answer(&mut session, "E. Foreman").unwrap_err().sure);
    answer(&mut session, "sure").unwrap();
    assert!(answer(&mut session, "e foreman").is_err());
    assert!(answer(&mut session, "A. Fitter (invented)").is_err());
    answer(&mut session, "B. Second").unwrap();
}

#[test]
fn a_builder_who_gave_no_answer_is_asked_about_and_told() {
    let mut session = before("moor-rear", "sign-built");
    let odd = answer(&mut session, "Somebody Else").unwrap_err();
    assert!(
        odd.sure && odd.words.contains("A. Fitter (invented) did"),
        "{}",
        odd.words
    );
    answer(&mut session, "Somebody Else sure").unwrap();
    let remarks = session.build("x", "y").remarks;
    let told = remarks
        .iter()
        .find(|remark| remark.place.ends_with("sign built"))
        .unwrap();
    assert_eq!(told.kind.word(), "override");
    assert_eq!(
        told.text,
        "Somebody Else signs for the work and gave no answer in it"
    );
    let mut session = before("moor-rear", "sign-built");
    answer(&mut session, "a. fitter (Invented)").unwrap();
}

#[test]
fn a_plate_thicker_than_new_is_asked_about() {
    // as far over its nominal as it may be uneven by the unit's file, 0.03 mm, nothing is said; the gauge shows 0.002 too much
    for (text, odd) in [
        ("2.032", false),
        ("2.033", true),
        ("2.045", true),
        ("2.145", true),
    ] {
        let mut session = before("moor-rear", "plate-thickness/C1/1");
        let taken = answer(&mut session, text);
        assert_eq!(taken.is_err(), odd, "{text}");
        if let Err(refusal) = taken {
            assert!(refusal.sure && refusal.words.contains("thicker than the 2.000 mm of a new plate"));
        }
    }
}

#[test]
fn no_plate_is_found_in_both_packs() {
    // the pack under the cover comes out first
    let (first, second) = (("right", "found-order/right"), "found-order/left");
    let mut session = before("moor-rear", first.1);
    let listed = |session: &Session| asked(session).limits[0].split_once(": ").unwrap().1.to_string();
    let (own, other) = (listed(&session), listed(&before("moor-rear", second)));
    answer(&mut session, &other).unwrap();
    for text in ["same", other.as_str()] {
        let refusal = answer(&mut session, text).unwrap_err();
        let words = format!("is in the {} pack already", first.0);
        assert!(
            !refusal.sure && refusal.words.contains(&words),
            "{}",
            refusal.words
        );
    }
    answer(&mut session, &own).unwrap();
}

#[test]
fn oil_that_is_not_all_of_the_files_is_asked_about_and_what_went_in_stands_as_left() {
    for text in ["75W-140", "75w-140 without friction modifier", "gear oil"] {
        let (words, sure) = refused("moor-rear", "oil", text);
        assert!(
            sure && words.contains("75W-140 with friction modifier"),
            "{words}"
        );
    }
    let mut session = before("moor-rear", "oil");
    answer(&mut session, "75w-140, WITH friction modifier, 2 tins").unwrap();
    let rows = session.build("x", "y").found_and_left;
    let oil = rows.iter().find(|row| row.what == "oil").unwrap();
    assert_eq!(
        oil.left.as_deref(),
        Some("75w-140, WITH friction modifier, 2 tins")
    );
}
