//! Saving changes what it means to change, and nothing else.

use song::{Edit, SaveError, Step, set_field, with_id};

#[test]
fn an_identity_goes_behind_the_format_in_the_layout_of_the_file() {
    let cases = [
        ("{\"format\":1,\"title\":\"T\"}", "{\"format\":1,\"id\":\"k\",\"title\":\"T\"}"),
        ("{ \"format\": 1, \"title\": \"T\" }", "{ \"format\": 1, \"id\": \"k\", \"title\": \"T\" }"),
        (
            "{\r\n\t\"format\" : 1,\r\n\t\"title\": \"T\"\r\n}\r\n",
            "{\r\n\t\"format\" : 1,\r\n\t\"id\" : \"k\",\r\n\t\"title\": \"T\"\r\n}\r\n",
        ),
        (
            "{\n    \"title\": \"T\",\n\n    \"format\": 1\n}",
            "{\n    \"title\": \"T\",\n\n    \"format\": 1,\n\n    \"id\": \"k\"\n}",
        ),
        ("{\n  \"title\": \"T\"\n}", "{\n  \"title\": \"T\",\n  \"id\": \"k\"\n}"),
        ("{}", "{\"id\": \"k\"}"),
        ("{ \"id\" : \"old\", \"tempo\": 7.20e1 }", "{ \"id\" : \"k\", \"tempo\": 7.20e1 }"),
        ("{ \"id\": null, \"id\": 3 }", "{ \"id\": \"k\", \"id\": 3 }"),
    ];
    for (before, after) in cases {
        assert_eq!(with_id(before, "k").unwrap(), after);
    }
}

#[test]
fn taking_the_identity_out_again_gives_the_file_byte_for_byte() {
    for text in (0..5).map(crate::demos::unsaved) {
        let saved = with_id(&text, "5f3a").unwrap();
        assert_eq!(saved.replacen("\"id\": \"5f3a\",\n  ", "", 1), text);
        assert_eq!(song::read(&saved).sound().unwrap().id.as_deref(), Some("5f3a"));
        assert_eq!(with_id(&saved, "5f3a").unwrap(), saved);
    }
}

#[test]
fn fields_deep_inside_are_set_in_the_same_way() {
    let text = "{ \"sections\": [ { \"name\": \"A\" },\n  { \"name\": \"B\",\n    \"passes\": 2 } ] }";
    let path = [Step::Field("sections".into()), Step::Element(1)];
    let edit = set_field(text, &path, "passes", "3", None).unwrap();
    assert_eq!(edit, Edit { span: (text.len() - 7, text.len() - 6), text: "3".into() });
    let edit = set_field(text, &path, "cue", "\"drums\"", Some("name")).unwrap();
    assert_eq!(
        edit.apply(text),
        "{ \"sections\": [ { \"name\": \"A\" },\n  { \"name\": \"B\",\n    \"cue\": \"drums\",\n    \"passes\": 2 } ] }"
    );
}

#[test]
fn what_is_no_song_cannot_be_saved_into() {
    assert_eq!(with_id("", "k"), Err(SaveError::NotJson));
    assert_eq!(with_id("{ \"format\": 1, }", "k"), Err(SaveError::NotJson));
    assert_eq!(with_id("[1]", "k"), Err(SaveError::NoSuchPlace));
    assert_eq!(with_id("{ \"a\": 1 }", "a\"b\n").unwrap(), "{ \"a\": 1, \"id\": \"a\\\"b\\n\" }");
}
