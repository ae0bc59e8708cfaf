use std::time::Instant;
fn main() {
    let sample = std::fs::read_to_string("tests/parse/sample.fitw").unwrap();
    let body = sample.split_once("section brackets").map(|(_, r)| format!("section brackets{r}")).unwrap();
    for mb in [1, 5] {
        let text = format!("procedure p \"P\"\n{}", body.repeat(mb * 1_048_576 / body.len()));
        for _ in 0..3 {
            let t = Instant::now();
            let (tree, f) = fitwright::parse::parse(fitwright::source::FileId(0), &text);
            println!(
                "{} MB: {:.1} MB/s, {} items {} findings",
                mb,
                text.len() as f64 / 1e6 / t.elapsed().as_secs_f64(),
                tree.items.len(),
                f.len()
            );
        }
    }
}
