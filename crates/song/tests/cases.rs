//! Songs with mistakes, each beside the messages it must give. The messages were read through one by one against the
//! song format before they were written down.

use expect_test::expect_file;

/// The messages for `cases/NAME.json` are those in `cases/NAME.txt`.
macro_rules! cases {
    ($($name:ident),* $(,)?) => {
        $(
            #[test]
            fn $name() {
                let name = concat!(stringify!($name), ".json");
                let text = include_str!(concat!("cases/", stringify!($name), ".json"));
                let told = song::read(text).diagnostics;
                let told: String = told.iter().map(|d| format!("{}\n", d.in_file(name))).collect();
                expect_file![concat!("cases/", stringify!($name), ".txt")].assert_eq(&told);
            }
        )*
    };
}

cases![beats, broken, chords, exceptions, fields, hands, links, ranges, signs, syntax, ties, tones, unused,];
