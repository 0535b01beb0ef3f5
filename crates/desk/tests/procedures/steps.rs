//! Which steps a list has and what each of them does is the chief's word, in every list; and it stands beside the step.

use desk::Desk;
use desk::procedures::Losing;

use crate::{aboard, minute};

const WORD: Losing<'_> = Losing { chief: "ce", why: "asked for by the company" };

fn text(desk: &Desk, key: &str) -> String {
    desk.procedure(key, minute(0)).expect("it").text
}

fn with_step(text: &str, key: &str, does: &str) -> String {
    let step = format!("key = \"{key}\"\ndo = \"{does}\"\nwhy = \"So it is.\"\ntakes_min = [1, 2]");
    format!("{}\n\n[[step]]\n{step}\n", text.trim_end())
}

/// Kept by nobody alone: what is said then; and by the chief's word.
fn asked(desk: &Desk, key: &str, text: &str) -> String {
    let refused = desk.keep_procedure(key, text, "3e", Losing::default(), minute(1));
    let refused = refused.expect_err("the chief is asked").to_string();
    assert!(refused.contains("The chief engineer gives initials and a reason"), "{refused}");
    let no_why = Losing { why: "", ..WORD };
    assert!(desk.keep_procedure(key, text, "3e", no_why, minute(1)).is_err());
    assert!(desk.keep_procedure(key, text, "3e", WORD, minute(2)).expect("by his word"));
    refused
}

#[test]
fn ident_no_step_comes_to_a_list_or_goes_or_is_replaced_without_the_chief() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    for (key, does) in [
        ("start", "Crack the heater inlet a little more."),
        ("round", "Dose the tank with chlorine, 500 g."),
        ("blackout", "Tell the bridge at once."),
    ] {
        let longer = with_step(&text(&desk, key), "own-step", does);
        assert!(asked(&desk, key, &longer).contains(&format!("is new: “{does}”")), "{key}");
    }
    // What stands over the steps leads hands as well, and how long heat takes at least.
    let blackout = text(&desk, "blackout");
    let about = blackout.lines().find(|line| line.starts_with("about = ")).expect("a line");
    let open = blackout.replacen(about, "about = \"First minute: heat left open.\"", 1);
    let says = asked(&desk, "blackout", &open);
    assert!(says.contains("is now “First minute: heat left open.”"), "{says}");
    let start = text(&desk, "start");
    let named = start.replacen("name = \"Start the plant\"", "name = \"Stop the plant\"", 1);
    assert!(asked(&desk, "start", &named).contains("its name was “Start the plant”"));
    // In place of another: by its key, or by a key of its own.
    let round = text(&desk, "round");
    let at = round.find("do = \"").expect("a step");
    let line = round[at..].lines().next().expect("a line").to_owned();
    let other = round.replacen(&line, "do = \"Dose the tank with chlorine, 500 g.\"", 1);
    assert!(asked(&desk, "round", &other).contains("and is now “Dose the tank with chlorine"));
    let acid = text(&desk, "acid-clean");
    let (head, warm) = acid.split_once("[[step]]\nkey = \"warm\"").expect("a step");
    let rest = warm.split_once("[[step]]").expect("one behind it").1;
    let acid = with_step(&format!("{head}[[step]]{rest}"), "hydrochloric", "Add 50 kg of it.");
    let says = asked(&desk, "acid-clean", &acid);
    assert!(says.contains("the step is gone") && says.contains("is new: “Add 50 kg"), "{says}");
    // Her own steps go by his word too; so does what one of them does.
    let own = text(&desk, "start");
    let other = own.replace("a little more.", "to full.");
    assert!(asked(&desk, "start", &other).contains("and is now “Crack the heater inlet to full.”"));
    let shorter = other.split_once("[[step]]\nkey = \"own-step\"").expect("hers").0.to_owned();
    let lost = desk.guards_lost("start", &format!("{shorter}\n# shorter\n")).expect("through");
    assert!(lost.len() == 1 && lost[0].ends_with("the step is gone."), "{lost:?}");
    // A step that went by his word comes back as it was, and no otherwise, without him.
    let usual = desk.procedure("acid-clean", minute(3)).expect("it").usual.expect("the usual");
    assert_eq!(desk.guards_lost("acid-clean", &usual).expect("looked through"), [""; 0]);
    let other = usual.replace("Warm the water to 40", "Warm the water to 80");
    let lost = desk.guards_lost("acid-clean", &other).expect("looked through");
    assert!(lost.iter().any(|one| one.contains("is new: “Warm the water to 80")), "{lost:?}");
    assert!(desk.keep_procedure("acid-clean", &usual, "3e", Losing::default(), minute(4)).is_ok());
    // A whole list of her own is as many new steps.
    let own = round.replace("key = \"round\"", "key = \"own-round\"");
    let refused = desk.save_procedure("own-round", &own, "3e", minute(5)).expect_err("asked");
    assert!(refused.to_string().contains("step 1 is new"), "{refused}");
}

#[test]
fn ident_who_changed_a_step_when_and_by_whose_word_stands_beside_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let longer = with_step(&text(&desk, "blackout"), "tell", "Tell the bridge at once.");
    desk.keep_procedure("blackout", &longer, "3e", WORD, minute(7)).expect("by his word");
    let other = longer.replacen("do = \"Shut the tank valve.\"", "do = \"Shut it.\"", 1);
    let later = Losing { chief: "ce", why: "shorter" };
    desk.keep_procedure("blackout", &other, "2e", later, minute(9)).expect("by his word");
    let list = desk.procedure("blackout", minute(10)).expect("it");
    // What came to it or is said otherwise is not weaker.
    assert_eq!(list.weaker, [""; 0]);
    assert!(list.otherwise.iter().any(|one| one.contains("is new: “Tell the bridge at once.”")));
    let own = |place: usize| list.steps[place].own.clone();
    let word = "Her own step: by 3e, 04:07; by the word of ce, “asked for by the company”.";
    assert_eq!(own(list.steps.len() - 1).as_deref(), Some(word));
    assert_eq!(own(1).as_deref(), Some("Changed: by 2e, 04:09; by the word of ce, “shorter”."));
    assert_eq!(own(0), None);
    // So it does in a run of it, which keeps the text it was begun with.
    let run = desk.begin_run("blackout", "3e", None, minute(11)).expect("begun");
    let view = desk.run_view(run, minute(12)).expect("it");
    assert_eq!(view.steps.last().and_then(|step| step.own.clone()).as_deref(), Some(word));
    // What was written into the file by hand has nobody's word.
    let by_hand = other.replace("Tell the bridge at once.", "Ring the bell.");
    std::fs::write(folder.path().join("procedures/blackout.toml"), by_hand).expect("written");
    let list = desk.procedure("blackout", minute(13)).expect("it");
    let own = list.steps.last().and_then(|step| step.own.clone()).expect("hers");
    assert!(own.contains("does not stand in the record"), "{own}");
}
