//! Two sides of one song. Expected texts are written by hand.

use super::*;

const BASE: &str = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
  "right": { "notes": 2, "figure": "x - - -" },
  "sections": [
    { "name": "Verse", "bars": [
        "1 | 4",
        "5 | 1",
        "6 | 2" ] },
    { "name": "Chorus", "bars": ["4 | 5"], "passes": 2,
      "except": [ { "pass": 2, "bar": 1, "bars": "2" } ] }
  ],
  "order": ["Verse", "Chorus"]
}
"#;

fn changed(pairs: &[(&str, &str)]) -> String {
    pairs.iter().fold(BASE.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "{old}");
        text.replacen(old, new, 1)
    })
}

/// Both changes as they would be in one text.
fn both(mine: &[(&str, &str)], theirs: &[(&str, &str)]) {
    let merged = merge(BASE, &changed(mine), &changed(theirs));
    let wanted = changed(&[mine, theirs].concat());
    assert_eq!(merged.as_deref(), Ok(wanted.as_str()));
    let other_way = merge(BASE, &changed(theirs), &changed(mine)).unwrap();
    assert_eq!(other_way, wanted, "it does not matter who comes first");
    assert!(crate::read(&wanted).sound().is_ok());
}

fn clash(mine: &[(&str, &str)], theirs: &[(&str, &str)], places: &[&str]) {
    let told = merge(BASE, &changed(mine), &changed(theirs)).unwrap_err();
    assert_eq!(told.places, places);
}

#[test]
fn what_one_side_left_alone_is_the_others() {
    let mine = changed(&[("72", "80")]);
    assert_eq!(merge(BASE, &mine, BASE).unwrap(), mine);
    assert_eq!(merge(BASE, BASE, &mine).unwrap(), mine);
    assert_eq!(merge(BASE, &mine, &mine).unwrap(), mine);
}

#[test]
fn different_places_are_put_together() {
    both(&[("72", "80")], &[("D major", "E major")]);
    both(&[("1 | 4", "1 | 6")], &[("6 | 2", "6 | 4")]);
    both(&[("1 | 4", "1 | 6")], &[("5 | 1", "5 | 4")]);
    both(&[("\"notes\": 2", "\"notes\": 3")], &[("x - - -", "x x - -")]);
    both(&[("1 | 4", "1 | 6")], &[("\"bars\": [\"4 | 5\"]", "\"bars\": [\"4 | 6\"]")]);
    both(&[("\"passes\": 2", "\"passes\": 3")], &[("\"bars\": \"2\"", "\"bars\": \"6\"")]);
    both(
        &[("\"order\": [\"Verse\"", "\"order\": [\"Verse\", \"Verse\"")],
        &[("\"Chorus\"]", "\"Chorus\", \"Chorus\"]")],
    );
}

#[test]
fn two_bars_of_one_row_are_different_places() {
    let (mine, theirs) = (changed(&[("1 | 4", "1 | 6")]), changed(&[("1 | 4", "2 | 4")]));
    assert_eq!(merge(BASE, &mine, &theirs).unwrap(), changed(&[("1 | 4", "2 | 6")]));
}

#[test]
fn one_place_is_asked_about() {
    clash(&[("1 | 4", "1 | 6")], &[("1 | 4", "1 | 2")], &["bar 2 of Verse"]);
    clash(&[("72", "80")], &[("72", "60")], &["the tempo"]);
    clash(&[("\"notes\": 2", "\"notes\": 3")], &[("\"notes\": 2", "\"notes\": 4")], &["the right hand"]);
    clash(&[("1 | 4", "1 | 4 | 4")], &[("1 | 4", "1 | 2")], &["row 1 of Verse"]);
    clash(
        &[("1 | 4", "1 | 6"), ("72", "80")],
        &[("1 | 4", "1 | 2"), ("72", "60")],
        &["the tempo", "bar 2 of Verse"],
    );
}

#[test]
fn of_two_identities_that_of_the_file_stays() {
    let with = |id: &str| crate::with_id(BASE, id).unwrap();
    assert_eq!(merge(BASE, &with("mine"), &with("theirs")), Ok(with("theirs")));
}

#[test]
fn both_saying_the_same_is_no_clash() {
    let (mine, theirs) = (changed(&[("1 | 4", "1 | 6")]), changed(&[("1 | 4", "1 | 6"), ("72", "80")]));
    assert_eq!(merge(BASE, &mine, &theirs).unwrap(), theirs);
    // Other spaces, another order of fields.
    let other_words =
        BASE.replace("\"key\": \"D major\", \"tempo\": 72", "\"tempo\":   72, \"key\": \"D major\"");
    let merged = merge(BASE, &mine, &other_words).unwrap();
    assert_eq!(merged, mine, "what says the same is no change");
}

#[test]
fn exceptions_of_different_passes_stand_side_by_side() {
    let one = r#"[ { "pass": 2, "bar": 1, "bars": "2" }, { "pass": 1, "bar": 2, "bars": "6" } ]"#;
    let other = r#"[ { "pass": 2, "bar": 1, "bars": "2" }, { "pass": 2, "bar": 2, "bars": "1" } ]"#;
    let there = r#"[ { "pass": 2, "bar": 1, "bars": "2" } ]"#;
    let merged = merge(BASE, &changed(&[(there, one)]), &changed(&[(there, other)])).unwrap();
    let all = r#"[ { "pass": 2, "bar": 1, "bars": "2" }, { "pass": 2, "bar": 2, "bars": "1" }, { "pass": 1, "bar": 2, "bars": "6" } ]"#;
    assert_eq!(merged, changed(&[(there, all)]));
    let clash_of = one.replace("\"6\"", "\"4\"");
    clash(&[(there, one)], &[(there, &clash_of)], &["the exceptions of Chorus"]);
}

#[test]
fn where_bars_move_nobody_guesses_which_bar_an_exception_means() {
    let bar_before = [("\"bars\": [\"4 | 5\"]", "\"bars\": [\"1 | 4 | 5\"]"), ("\"bar\": 1", "\"bar\": 2")];
    clash(
        &bar_before,
        &[("\"bars\": \"2\"", "\"bars\": \"6\"")],
        &["the bars of Chorus and what is said of them by number"],
    );
    let told = merge(BASE, &changed(&[("\"bars\": \"2\"", "\"bars\": \"6\"")]), &changed(&bar_before[..1]));
    assert_eq!(told.unwrap_err().places, ["the bars of Chorus and what is said of them by number"]);
    // Bars of another section than the exceptions are of may move, and rows of a section without any.
    both(&[("1 | 4", "1 | 4 | 4")], &[("6 | 2", "6 | 4")]);
}

#[test]
fn sections_are_put_in_taken_away_and_moved() {
    let bridge = "],\n  \"order\"";
    let put_in = "  { \"name\": \"Bridge\", \"bars\": [\"2 | 5\"] }\n  ],\n  \"order\"";
    let mine = changed(&[(bridge, put_in), ("} ] }\n  ", "} ] },\n  ")]);
    let theirs = changed(&[("1 | 4", "1 | 6")]);
    let merged = merge(BASE, &mine, &theirs).unwrap();
    let song = crate::read(&merged).sound().unwrap();
    assert_eq!(
        song.sections.iter().map(|s| s.name.as_str()).collect::<Vec<_>>(),
        ["Verse", "Chorus", "Bridge"]
    );
    assert!(merged.contains("1 | 6") && merged.contains("2 | 5"));

    let without = BASE[..BASE.find(",\n    { \"name\": \"Chorus\"").unwrap()].to_owned() + "\n  ]\n}\n";
    let told = merge(BASE, &without, &changed(&[("4 | 5", "4 | 6")])).unwrap_err();
    assert_eq!(told.places[0], "the section Chorus, which one side takes away");
}

#[test]
fn a_side_that_is_no_json_is_asked_about() {
    let told = merge(BASE, &changed(&[("72", "80")]), &BASE[..100]).unwrap_err();
    assert_eq!(told.places, ["the file as a whole"]);
}

#[test]
fn both_right_and_together_wrong_is_asked_about() {
    // One names the section otherwise, the other plays it once more under its old name.
    let named = [("\"name\": \"Verse\"", "\"name\": \"Strophe\""), ("[\"Verse\"", "[\"Strophe\"")];
    let told = merge(BASE, &changed(&named), &changed(&[("\"Chorus\"]", "\"Chorus\", \"Verse\"]")]));
    assert_eq!(told.unwrap_err().places, ["the file as a whole"]);
}

#[test]
fn what_was_changed_is_told_in_words() {
    let told = |pairs: &[(&str, &str)]| difference(BASE, &changed(pairs));
    assert_eq!(told(&[("72", "80"), ("\"notes\": 2", "\"notes\": 3")]), ["the tempo", "the right hand"]);
    assert_eq!(told(&[("5 | 1", "5 | 6")]), ["bar 4 of Verse"]);
    assert_eq!(told(&[("5 | 1", "5"), ("72", "80")]), ["the tempo", "a bar of Verse taken away"]);
    assert_eq!(told(&[("1 | 4\",\n        \"5 | 1", "1 | 4 | 5 | 1")]), ["the rows of Verse"]);
    assert_eq!(told(&[("\"bars\": \"2\"", "\"bars\": \"6\"")]), ["the exceptions of Chorus"]);
    assert_eq!(
        told(&[("\"name\": \"Verse\"", "\"name\": \"Strophe\"")]),
        ["a new section Strophe", "Verse taken away"]
    );
    assert_eq!(told(&[("1 | 4", "1  |  4")]), ["the rows of Verse"]);
    assert_eq!(told(&[("\"tempo\": 72", "\"tempo\":72")]), [""; 0]);
    assert_eq!(difference(BASE, "{"), ["a mistake in its JSON"]);
}
