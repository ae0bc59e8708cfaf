//! The outputs: what a technician reads and what an app reads, held against standards and against hostile text.

use fitwright::emit;
use fitwright::source::Sources;

fn outputs(root: &str, text: &str) -> Vec<(String, Vec<u8>)> {
    let mut world = fitwright::world::Memory::default().with(root, text);
    if let Ok(dir) = std::env::var("FIGDIR") {
        for e in std::fs::read_dir(dir).unwrap() {
            let e = e.unwrap();
            world = world.with(
                format!("{}{}", std::env::var("FIGPRE").unwrap_or("figures/".into()), e.file_name().to_string_lossy()),
                std::fs::read(e.path()).unwrap(),
            );
        }
    }
    let mut sources = Sources::default();
    let resolved = fitwright::resolve::resolve(root, &world, &mut sources);
    for f in &resolved.findings {
        eprintln!("{:?} {}", f.code, f.message);
    }
    let procedure = resolved.procedure.expect("a procedure");
    emit::emit(&procedure, &sources, &|path| resolved.figures.get(path).cloned()).expect("outputs").files
}

#[test]
fn samples() {
    let Ok(list) = std::env::var("SAMPLES") else { return };
    for path in list.split(':') {
        let text = std::fs::read_to_string(path).unwrap();
        let name = std::path::Path::new(path).file_stem().unwrap().to_string_lossy().into_owned();
        for (file, bytes) in outputs(&format!("{name}.fitw"), &text) {
            let dir = format!("/tmp/emit-mock/{name}");
            std::fs::create_dir_all(&dir).unwrap();
            std::fs::write(format!("{dir}/{file}"), bytes).unwrap();
        }
    }
}
