//! Figures: read once, looked at before they are shown to anybody.

use super::load::unsafe_path;
use super::{Resolver, folder_of};
use crate::diagnostics::{Code, Finding};
use crate::model::Figure;
use crate::parse::tree::Text;
use crate::world::ReadFault;

/// The largest figure, in bytes: what a printed page can use, with room.
const MOST_BYTES: usize = 8 * 1024 * 1024;

/// The most pixels in each direction.
const MOST_PIXELS: u32 = 20_000;

impl Resolver<'_> {
    /// `figure "rail.svg" "The rail from the side"`; the path counts from the folder of the file that says it.
    pub(super) fn figure(&mut self, path: &Text, alt: Option<&Text>) -> Option<Figure> {
        let alt = alt.map(|alt| alt.value.trim().to_owned()).unwrap_or_default();
        if alt.is_empty() {
            self.report(
                Finding::new(
                    Code::FW1302,
                    "this figure has no words",
                    path.span,
                    "nothing for those who cannot see it",
                )
                .because("A figure that does not load, or is read aloud, must still say what it shows.")
                .repair(format!("Add what it shows: `figure \"{}\" \"The rail from the side\"`.", path.value)),
            );
        }
        // Relative paths may be joined to the folder only after they are known to be plain.
        if let Some(finding) = unsafe_path(&path.value, path.span) {
            self.report(finding);
            return None;
        }
        let shared = path.span.file.section().and_then(|section| self.procedure.shared.get(section));
        let library = shared.filter(|section| !section.library.is_empty()).map(|section| folder_of(&section.library));
        let full = format!("{}{}", library.as_ref().unwrap_or(&self.folder), path.value);
        let bytes = match self.world.read(&full) {
            Ok(bytes) => bytes,
            Err(fault) => {
                self.report(unreadable(&full, path, fault));
                return None;
            }
        };
        if let Err((what, repair)) = inspect(&path.value, &bytes) {
            self.report(
                Finding::new(
                    Code::FW1304,
                    format!("the figure `{}` can't be shown: {what}", path.value),
                    path.span,
                    what,
                )
                .because("The manual opens on many machines and must load nothing and run nothing.")
                .repair(repair),
            );
            return None;
        }
        self.figures.insert(full.clone(), bytes);
        (!alt.is_empty()).then_some(Figure { path: full, alt })
    }
}

fn unreadable(full: &str, path: &Text, fault: ReadFault) -> Finding {
    let (code, label) = match fault {
        ReadFault::Outside => (Code::FW1303, "a link leads out of the project"),
        ReadFault::TooLarge => (Code::FW1304, "the file is too large"),
        ReadFault::NotAFile => (Code::FW1301, "this is not a file"),
        ReadFault::Missing | ReadFault::Refused => (Code::FW1301, "there is no such file"),
    };
    Finding::new(code, format!("the figure `{}` can't be read", path.value), path.span, label)
        .repair(format!("Put the picture at `{full}` in the project, or correct the path."))
}

/// What is wrong with a picture, and the repair.
fn inspect(path: &str, bytes: &[u8]) -> Result<(), (&'static str, &'static str)> {
    if bytes.len() > MOST_BYTES {
        return Err(("it is larger than 8 MiB", "Save it with fewer pixels."));
    }
    let ending = path.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "png" => size_fits(png_size(bytes).ok_or(NOT_WHAT_IT_SAYS)?),
        "jpg" | "jpeg" => size_fits(jpeg_size(bytes).ok_or(NOT_WHAT_IT_SAYS)?),
        "svg" => drawing_is_plain(bytes),
        _ => Err(("only PNG, JPEG and SVG can be shown", "Save it as `.png`, `.jpg` or `.svg`.")),
    }
}

const NOT_WHAT_IT_SAYS: (&str, &str) =
    ("its content is not what its ending says", "Save it again in the format of its ending.");

fn size_fits((width, height): (u32, u32)) -> Result<(), (&'static str, &'static str)> {
    if (1..=MOST_PIXELS).contains(&width) && (1..=MOST_PIXELS).contains(&height) {
        Ok(())
    } else {
        Err(("it has too many pixels", "Save it with at most 20,000 pixels each way."))
    }
}

/// Width and height from the header chunk (PNG, ISO/IEC 15948).
fn png_size(bytes: &[u8]) -> Option<(u32, u32)> {
    let header = bytes.strip_prefix(b"\x89PNG\r\n\x1a\n")?;
    let header = header.get(4..)?.strip_prefix(b"IHDR")?;
    Some((big_endian(header.get(..4)?)?, big_endian(header.get(4..8)?)?))
}

fn big_endian(bytes: &[u8]) -> Option<u32> {
    bytes.try_into().ok().map(u32::from_be_bytes)
}

/// Width and height from the first frame header (JPEG, ISO/IEC 10918-1).
fn jpeg_size(bytes: &[u8]) -> Option<(u32, u32)> {
    let mut rest = bytes.strip_prefix(&[0xff, 0xd8])?;
    loop {
        let (marker, after) = match rest {
            [0xff, marker, after @ ..] => (*marker, after),
            _ => return None,
        };
        let length = usize::from(u16::from_be_bytes(after.get(..2)?.try_into().ok()?));
        let is_frame = matches!(marker, 0xc0..=0xcf) && !matches!(marker, 0xc4 | 0xc8 | 0xcc);
        if is_frame {
            let side = |at: usize| Some(u32::from(u16::from_be_bytes(after.get(at..at + 2)?.try_into().ok()?)));
            return Some((side(5)?, side(3)?));
        }
        rest = after.get(length..)?;
    }
}

/// A drawing may hold no script, no foreign content and no reference out of itself.
fn drawing_is_plain(bytes: &[u8]) -> Result<(), (&'static str, &'static str)> {
    let repair = "Save it as a plain drawing, without scripts, links, fonts or pictures from elsewhere.";
    let text = std::str::from_utf8(bytes).map_err(|_| NOT_WHAT_IT_SAYS)?.to_ascii_lowercase();
    if !text.contains("<svg") {
        return Err(NOT_WHAT_IT_SAYS);
    }
    let forbidden = [
        "<script",
        "<foreignobject",
        "<!entity",
        "<!doctype",
        "<iframe",
        "<image",
        "<use",
        "javascript:",
        "@import",
        "<?xml-stylesheet",
    ];
    if forbidden.iter().any(|word| text.contains(word)) {
        return Err(("it holds a script or foreign content", repair));
    }
    let has_handler = text.split(|c: char| c.is_whitespace() || c == '"' || c == '\'' || c == '/').any(|word| {
        word.strip_prefix("on")
            .and_then(|rest| rest.split_once('='))
            .is_some_and(|(event, _)| !event.is_empty() && event.bytes().all(|b| b.is_ascii_lowercase()))
    });
    let leads_out = text.match_indices("href").any(|(at, _)| {
        let value = text.get(at + 4..).unwrap_or_default().trim_start().trim_start_matches('=').trim_start();
        !value.starts_with("\"#") && !value.starts_with("'#")
    }) || text
        .match_indices("url(")
        .any(|(at, _)| !text.get(at + 4..).unwrap_or_default().trim_start_matches([' ', '"', '\'']).starts_with('#'));
    if has_handler || leads_out { Err(("it leads out of itself or runs something", repair)) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawings_that_run_or_fetch_are_refused() {
        let plain = br##"<svg xmlns="http://www.w3.org/2000/svg"><g fill="url(#a)"/><path d="M0 0"/></svg>"##;
        assert!(drawing_is_plain(plain).is_ok());
        for bad in [
            "<svg><script>1</script></svg>",
            "<svg onload=\"x()\"/>",
            "<svg><a href=\"https://example.org\"/></svg>",
            "<svg style=\"fill:url(http://example.org/a)\"/>",
            "<svg><image href=\"#x\"/></svg>",
        ] {
            assert!(drawing_is_plain(bad.as_bytes()).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_picture_must_be_what_its_ending_says() {
        assert!(inspect("a.png", b"GIF89a").is_err());
        assert!(inspect("a.gif", b"GIF89a").is_err());
        let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
        png.extend_from_slice(&[0, 0, 0, 9, 0, 0, 0, 9]);
        assert!(inspect("a.png", &png).is_ok());
    }
}
