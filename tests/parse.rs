use fitwright::{parse, source::Sources};
#[test]
fn happy() {
    for f in [
        "tests/parse/sample",
        "tests/parse/more",
        "tests/parse/rows",
        "shared/std/fasteners",
        "shared/std/hand-tools",
        "shared/std/hazards",
        "shared/std/protection",
        "shared/std/wiring",
    ] {
        let text = std::fs::read_to_string(format!("{f}.fitw")).unwrap();
        let mut s = Sources::default();
        let id = s.add(f, text.clone());
        let (tree, findings) = parse::parse(id, &text);
        for x in &findings {
            let sp = x.span().unwrap();
            println!("{f} {} {} | {} | {:?}", x.code, x.message, s.text(sp), x.repair);
        }
        println!("{f} {}", tree.items.len());
        if f.ends_with("more") {
            println!("{tree:#?}");
        }
    }
}
