//! Whether a file is a picture that can be shown to anybody, and how large it is.

use quick_xml::Reader;
use quick_xml::events::Event;

use crate::model::PictureSize;

/// The largest figure, in bytes: what a printed page can use, with room.
const MOST_BYTES: usize = 8 * 1024 * 1024;

/// The most pixels in each direction.
const MOST_PIXELS: u32 = 20_000;

/// What is wrong with a picture, and the repair.
type Fault = (&'static str, &'static str);

/// The size of a picture that can be shown.
pub(super) fn inspect(path: &str, bytes: &[u8]) -> Result<PictureSize, Fault> {
    if bytes.len() > MOST_BYTES {
        return Err(("it is larger than 8 MiB", "Save it with fewer pixels."));
    }
    let ending = path.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "png" => size_fits(png_size(bytes).ok_or(NOT_WHAT_IT_SAYS)?),
        "jpg" | "jpeg" => size_fits(jpeg_size(bytes).ok_or(NOT_WHAT_IT_SAYS)?),
        "svg" => drawing_is_plain(bytes).map(drawing_size),
        _ => Err(("only PNG, JPEG and SVG can be shown", "Save it as `.png`, `.jpg` or `.svg`.")),
    }
}

const NOT_WHAT_IT_SAYS: Fault =
    ("its content is not what its ending says", "Save it again in the format of its ending.");

fn size_fits((width, height): (u32, u32)) -> Result<PictureSize, Fault> {
    if (1..=MOST_PIXELS).contains(&width) && (1..=MOST_PIXELS).contains(&height) {
        Ok(PictureSize { width, height, pixels: true })
    } else {
        Err(("it has too many pixels", "Save it with at most 20,000 pixels each way."))
    }
}

/// Width and height from the header chunk (PNG, ISO/IEC 15948), where image data follow and the file ends as it should: chunks of
/// a length, a name, so many bytes and a sum, from `IHDR` to `IEND`.
fn png_size(bytes: &[u8]) -> Option<(u32, u32)> {
    let mut rest = bytes.strip_prefix(b"\x89PNG\r\n\x1a\n")?;
    let (mut size, mut has_data) = (None, false);
    loop {
        let length = usize::try_from(big_endian(rest.get(..4)?)?).ok()?;
        let (name, data) = (rest.get(4..8)?, rest.get(8..length.checked_add(8)?)?);
        match (name, size) {
            (b"IHDR", None) => size = Some((big_endian(data.get(..4)?)?, big_endian(data.get(4..8)?)?)),
            (b"IHDR", _) | (_, None) => return None,
            (b"IDAT", _) => has_data = true,
            (b"IEND", _) => return size.filter(|_| has_data),
            _ => {}
        }
        rest = rest.get(length.checked_add(12)?..)?;
    }
}

fn big_endian(bytes: &[u8]) -> Option<u32> {
    bytes.try_into().ok().map(u32::from_be_bytes)
}

/// Width and height from the first frame header (JPEG, ISO/IEC 10918-1), where a scan and the end of the image follow.
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
            // Data follow, and an end: a file that was cut off would be grey from there on.
            let data = after.windows(2).position(|pair| pair == [0xff, 0xda])?;
            after.get(data..)?.windows(2).rposition(|pair| pair == [0xff, 0xd9])?;
            return Some((side(5)?, side(3)?));
        }
        rest = after.get(length..)?;
    }
}

/// A drawing may hold no script, no foreign content and no reference out of itself.
fn drawing_is_plain(bytes: &[u8]) -> Result<&str, Fault> {
    let repair = "Save it as a plain drawing, without scripts, links, fonts or pictures from elsewhere.";
    let whole = std::str::from_utf8(bytes).map_err(|_| NOT_WHAT_IT_SAYS)?;
    let text = whole.to_ascii_lowercase();
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
    if has_handler || leads_out {
        return Err(("it leads out of itself or runs something", repair));
    }
    well_formed(whole).map(|()| whole)
}

/// The elements that a drawing is made of (SVG 2); whatever else the namespace has, animation among it, is no drawing on paper.
/// Elements of other namespaces are notes of the program that drew it, and no browser shows them.
const ELEMENTS: [&str; 34] = [
    "svg",
    "g",
    "defs",
    "symbol",
    "title",
    "desc",
    "metadata",
    "style",
    "path",
    "rect",
    "circle",
    "ellipse",
    "line",
    "polyline",
    "polygon",
    "text",
    "tspan",
    "textPath",
    "linearGradient",
    "radialGradient",
    "stop",
    "pattern",
    "clipPath",
    "mask",
    "marker",
    "filter",
    "feGaussianBlur",
    "feOffset",
    "feBlend",
    "feFlood",
    "feColorMatrix",
    "feComposite",
    "feMerge",
    "feMergeNode",
];
/// Elements in elements.
const DEPTH: usize = 200;

/// Whether a drawing is XML to its end, of elements that a drawing is made of: a browser shows nothing of what is not.
fn well_formed(text: &str) -> Result<(), Fault> {
    const BROKEN: Fault =
        ("it is no whole XML, so that nothing of it would be shown", "Save it again from the program that drew it.");
    const FOREIGN: Fault = (
        "it holds an element that no drawing is made of",
        "Save it as a plain drawing, without animation, links, fonts or pictures from elsewhere.",
    );
    let mut reader = Reader::from_str(text);
    let (mut depth, mut roots) = (0_usize, 0_usize);
    loop {
        let event = reader.read_event().map_err(|_| BROKEN)?;
        let (element, opens) = match &event {
            Event::Start(element) => (element, true),
            Event::Empty(element) => (element, false),
            Event::End(_) => {
                depth = depth.saturating_sub(1);
                continue;
            }
            Event::Eof if depth == 0 && roots == 1 => return Ok(()),
            Event::Eof => return Err(BROKEN),
            Event::Text(words) if depth == 0 && !words.trim().is_empty() => return Err(BROKEN),
            _ => continue,
        };
        if element.attributes().any(|attribute| attribute.is_err()) {
            return Err(BROKEN);
        }
        let name = element.name();
        let name: &str = name.as_ref();
        let plain = name.strip_prefix("svg:").unwrap_or(name);
        let is_note = plain.contains(':');
        if !is_note && !ELEMENTS.contains(&plain) {
            return Err(FOREIGN);
        }
        if depth == 0 {
            roots += 1;
            if plain != "svg" {
                return Err(BROKEN);
            }
        }
        depth += usize::from(opens);
        if depth > DEPTH {
            return Err(FOREIGN);
        }
    }
}

/// The proportion of a drawing: that of its `viewBox`, else of its width and height; where it has neither, that of a picture
/// without a size (CSS 2.2, 10.3.2: 2 to 1).
fn drawing_size(text: &str) -> PictureSize {
    let root = text.split_once("<svg").map_or("", |(_, rest)| rest.split_once('>').map_or(rest, |(root, _)| root));
    let numbers = |value: &str| -> Vec<f64> {
        let words = value.split(|c: char| c.is_whitespace() || c == ',').filter(|word| !word.is_empty());
        words.map_while(|word| word.parse::<f64>().ok()).collect()
    };
    let side = |name: &str| {
        let value = attribute(root, name)?;
        let digits = value.trim().trim_end_matches(|c: char| c.is_ascii_alphabetic());
        digits.parse::<f64>().ok()
    };
    let view = attribute(root, "viewBox").map(numbers).filter(|view| view.len() == 4);
    let sides = match view.as_deref() {
        Some([.., width, height]) => Some((*width, *height)),
        _ => side("width").zip(side("height")),
    };
    let fits = |value: f64| (0.001..=1_000_000.0).contains(&value).then_some((value * 1000.0).round() as u32);
    let sides = sides.and_then(|(width, height)| fits(width).zip(fits(height)));
    let (width, height) = sides.unwrap_or((2000, 1000));
    PictureSize { width, height, pixels: false }
}

/// The value of an attribute of a start tag.
fn attribute<'t>(tag: &'t str, name: &str) -> Option<&'t str> {
    let mut from = 0;
    while let Some(at) = tag.get(from..)?.find(name) {
        let (before, after) = (tag.get(..from + at)?, tag.get(from + at + name.len()..)?);
        from += at + name.len();
        let value = after.trim_start().strip_prefix('=').map(str::trim_start);
        if let (true, Some(value)) = (before.ends_with(char::is_whitespace), value) {
            let quote = value.chars().next().filter(|quote| matches!(quote, '"' | '\''))?;
            return value.get(1..)?.split(quote).next();
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawings_that_run_or_fetch_are_refused() {
        let plain = br##"<svg xmlns="http://www.w3.org/2000/svg"><g fill="url(#a)"/><path d="M0 0"/></svg>"##;
        assert!(drawing_is_plain(plain).is_ok());
        let with_notes = br##"<?xml version="1.0"?><!-- drawn --><svg:svg xmlns:svg="http://www.w3.org/2000/svg"><draw:view zoom="2"/><svg:g/></svg:svg>"##;
        assert!(drawing_is_plain(with_notes).is_ok());
        for bad in [
            "<svg><script>1</script></svg>",
            "<svg onload=\"x()\"/>",
            "<svg><a href=\"https://example.org\"/></svg>",
            "<svg style=\"fill:url(http://example.org/a)\"/>",
            "<svg><image href=\"#x\"/></svg>",
            "<svg><set attributeName=\"fill\" to=\"red\"/></svg>",
            "<svg><g></svg>",
            "<svg><g/>",
            "<svg/><svg/>",
            "<svg a=\"1\" a=\"2\"/>",
            "<p><svg/></p>",
            "<svg/> and more",
        ] {
            assert!(drawing_is_plain(bad.as_bytes()).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_drawing_has_the_proportion_of_its_view() {
        let of = |root: &str| {
            let size = drawing_size(&format!("<?xml version=\"1.0\"?>\n<svg {root}><path/></svg>"));
            (size.width, size.height)
        };
        assert_eq!(of("viewBox='0 0 40 20'"), (40_000, 20_000));
        assert_eq!(of("width=\"100%\" viewBox = \"-5,-5 30.5 61\""), (30_500, 61_000));
        assert_eq!(of("stroke-width=\"3\" width=\"80mm\" height=\"60mm\""), (80_000, 60_000));
        for none in [
            "",
            "viewBox=\"0 0 0 0\"",
            "width=\"-4\" height=\"5\"",
            "width=\"1e99\" height=\"NaN\"",
            "width=7 height=7",
        ] {
            assert_eq!(of(none), (2000, 1000), "{none}");
        }
    }

    #[test]
    fn a_picture_must_be_what_its_ending_says() {
        assert!(inspect("a.png", b"GIF89a").is_err());
        assert!(inspect("a.gif", b"GIF89a").is_err());
        let chunk = |name: &[u8; 4], data: &[u8]| [&[0, 0, 0, data.len() as u8], &name[..], data, &[0; 4]].concat();
        let header = chunk(b"IHDR", &[0, 0, 0, 9, 0, 0, 0, 9, 8, 2, 0, 0, 0]);
        let png = [b"\x89PNG\r\n\x1a\n".to_vec(), header, chunk(b"IDAT", &[1, 2]), chunk(b"IEND", &[])].concat();
        assert!(inspect("a.png", &png).is_ok());
        for cut in 0..png.len() - 4 {
            assert!(inspect("a.png", &png[..cut]).is_err(), "cut off after {cut} bytes");
        }
        let frame = [0xff, 0xd8, 0xff, 0xc0, 0, 11, 8, 0, 9, 0, 9, 1, 1, 0x11, 0, 0xff, 0xda, 0, 2, 7, 7, 0xff, 0xd9];
        assert!(inspect("a.jpg", &frame).is_ok());
        for cut in 0..frame.len() {
            assert!(inspect("a.jpg", &frame[..cut]).is_err(), "cut off after {cut} bytes");
        }
    }
}
