use crate::print::*;
#[test]
fn why() {
    for name in ["lanterns-at-the-lock", "frost-on-the-sluice", "heron-waltz"] {
        let text = std::fs::read_to_string(format!("../../demo-songs/{name}.json")).unwrap();
        let part = part_of(&text);
        for (i, bar) in part.bars.iter().enumerate().take(24) {
            for c in &bar.chords {
                println!("-- {}", i + 1);
                for r in &c.why {
                    println!("   {:?} {}", r.hand, r.text());
                }
            }
        }
        println!("{}", strikes(&part, theory::Hand::Left).lines().take(70).collect::<Vec<_>>().join("\n"));
        println!("{}", strikes(&part, theory::Hand::Right).lines().take(70).collect::<Vec<_>>().join("\n"));
    }
}
