//! Pictures of a sheet: made of it by `pdftoppm`, worsened here and by ImageMagick, and what is no picture of one.

use crate::place::{Place, Ran};
use crate::sealed::{BUILD, file, unsigned};
use crate::skipped::skipped;
use shimwright::sheet::photo::{PhotoCode, PhotoError, code_in_photo};
use std::fs;
use std::path::Path;
use std::process::Command;

/// Runs a tool in a folder; whether it did, with a word where it is not installed.
fn tool(folder: &Path, words: &str) -> bool {
    let mut words = words.split_whitespace();
    let name = words.next().unwrap();
    match Command::new(name).args(words).current_dir(folder).output() {
        Ok(output) => {
            assert!(
                output.status.success(),
                "{name}: {}",
                String::from_utf8_lossy(&output.stderr)
            );
            true
        }
        Err(error) => {
            skipped(&format!("{name} makes no picture of a sheet: {error}"));
            false
        }
    }
}

/// A picture in greys.
struct Grey {
    wide: usize,
    dots: Vec<u8>,
}

impl Grey {
    /// Out of the text form of Netpbm (`P5`), as `pdftoppm -gray` writes it.
    fn read(bytes: &[u8]) -> Grey {
        let head: Vec<&[u8]> = bytes.splitn(4, |b| *b == b'\n').collect();
        let wide = String::from_utf8_lossy(head[1])
            .split(' ')
            .next()
            .unwrap()
            .parse()
            .unwrap();
        let start = head[..3].iter().map(|line| line.len() + 1).sum();
        Grey {
            wide,
            dots: bytes[start..].to_vec(),
        }
    }

    fn high(&self) -> usize {
        self.dots.len() / self.wide
    }

    /// Turned round its middle by some degrees, each dot the nearest; white where nothing was.
    fn turned(&self, degrees: f64) -> Grey {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let (wide, high) = (self.wide as f64, self.high() as f64);
        let mut dots = vec![255; self.dots.len()];
        for (at, dot) in dots.iter_mut().enumerate() {
            let (x, y) = (
                (at % self.wide) as f64 - wide / 2.0,
                (at / self.wide) as f64 - high / 2.0,
            );
            let (from_x, from_y) = (cos * x + sin * y + wide / 2.0, cos * y - sin * x + high / 2.0);
            if (0.0..wide - 1.0).contains(&from_x) && (0.0..high - 1.0).contains(&from_y) {
                *dot = self.dots[from_y.round() as usize * self.wide + from_x.round() as usize];
            }
        }
        Grey {
            wide: self.wide,
            dots,
        }
    }

    /// Each dot the mean of nine.
    fn blurred(&self) -> Grey {
        let (wide, high) = (self.wide, self.high());
        let mean = |at: usize| {
            let (x, y) = ((at % wide).clamp(1, wide - 2), (at / wide).clamp(1, high - 2));
            let sum: u32 = (0..9)
                .map(|n| u32::from(self.dots[(y + n / 3 - 1) * wide + x + n % 3 - 1]))
                .sum();
            (sum / 9) as u8
        };
        Grey {
            wide,
            dots: (0..self.dots.len()).map(mean).collect(),
        }
    }

    fn png(&self) -> Vec<u8> {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, self.wide as u32, self.high() as u32);
        encoder.set_color(png::ColorType::Grayscale);
        encoder
            .write_header()
            .unwrap()
            .write_image_data(&self.dots)
            .unwrap();
        bytes
    }
}

/// A place with a finished build and its last page in greys, on which the code is; nothing where that can not be made.
fn pictured() -> Option<(Place, Grey)> {
    let place = unsigned();
    fs::copy(file(&place, "sheet.pdf"), place.path("sheet.pdf")).unwrap();
    let page = last_page(&place)?;
    Some((place, page))
}

fn last_page(place: &Place) -> Option<Grey> {
    if !tool(&place.path(""), "pdftoppm -gray -r 150 sheet.pdf page") {
        return None;
    }
    let mut pages: Vec<_> = fs::read_dir(place.path(""))
        .unwrap()
        .flatten()
        .map(|entry| entry.path())
        .collect();
    pages.retain(|path| path.extension().is_some_and(|end| end == "pgm"));
    pages.sort();
    Some(Grey::read(&fs::read(pages.last().unwrap()).unwrap()))
}

fn by_photo(place: &Place, name: &str) -> Ran {
    place.run(&["check", "--photo", name])
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_picture_of_a_sheet_is_held_against_its_record_also_a_bad_one() {
    let Some((place, page)) = pictured() else {
        return;
    };
    for (name, picture) in [
        ("plain.png", page.png()),
        ("turned.png", page.turned(3.0).png()),
        ("over.png", page.turned(180.0).png()),
        ("blurred.png", page.turned(-8.0).blurred().png()),
    ] {
        place.write(name, picture);
        let ran = by_photo(&place, name);
        assert_eq!(ran.code, 0, "{name}: {}{}", ran.out, ran.err);
        assert!(ran.out.contains("paper and record agree"), "{name}: {}", ran.out);
    }
    // the same as the text that is in the code: the very reader of --code
    let large = |text: &str| match text.starts_with("SHIMWRIGHT") {
        true => PhotoCode::Large,
        false => PhotoCode::Other,
    };
    let text = code_in_photo(&fs::read(place.path("plain.png")).unwrap(), &large).unwrap();
    assert_eq!(
        by_photo(&place, "plain.png").out,
        place.run(&["check", "--code", &text]).out
    );
    // as a camera keeps it
    if tool(
        &place.path(""),
        "convert plain.png -rotate 3 -blur 0x0.8 -quality 40 photo.jpg",
    ) {
        let ran = by_photo(&place, "photo.jpg");
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        // in colours, and one that was cut: nothing of it is guessed
        tool(
            &place.path(""),
            "convert plain.png -colorspace sRGB -fill beige -tint 100 -quality 85 colour.jpg",
        );
        let ran = by_photo(&place, "colour.jpg");
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        let whole = fs::read(place.path("photo.jpg")).unwrap();
        place.write("cut.jpg", &whole[..whole.len() / 3]);
        let ran = by_photo(&place, "cut.jpg");
        assert!(ran.code == 3, "{}{}", ran.out, ran.err);
        // dots that would fill the memory
        let frame = whole.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
        let mut huge = whole.clone();
        huge[frame + 5..frame + 9].copy_from_slice(&[0xff, 0x00, 0xff, 0x00]);
        place.write("huge.jpg", huge);
        by_photo(&place, "huge.jpg").fails(3, &["65280 times 65280 dots", "type the digest"]);
    }
    // the record went on, and then it was changed under the hand of nobody
    let ran = place.run(&[
        "correct",
        BUILD,
        "plate-thickness/G3/1",
        "1.972",
        "--by",
        "Ada Example",
        "--reason",
        "slip",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = by_photo(&place, "plain.png");
    assert_eq!(ran.code, 12, "{}{}", ran.out, ran.err);
    assert!(
        flat(&ran.out).contains("it was printed from lines 1 to"),
        "{}",
        ran.out
    );
    let journal = file(&place, "journal.jsonl");
    let text = fs::read_to_string(&journal).unwrap();
    fs::write(
        &journal,
        text.replacen("\"units\":\"metric\"", "\"units\":\"inches\"", 1),
    )
    .unwrap();
    let ran = by_photo(&place, "plain.png");
    assert_eq!(ran.code, 11, "{}{}", ran.out, ran.err);
    assert!(ran.out.contains("PAPER AND RECORD DIFFER"), "{}", ran.out);
    // another book: the sheet says of which build it is
    let other = Place::new();
    fs::create_dir(other.book()).unwrap();
    other.write("plain.png", page.png());
    let ran = by_photo(&other, "plain.png");
    assert_eq!(ran.code, 11, "{}{}", ran.out, ran.err);
    assert!(
        ran.out
            .contains(&format!("it is of {BUILD}, which is not in the book")),
        "{}",
        ran.out
    );
}

#[test]
fn what_is_no_picture_of_a_sheet_ends_in_the_digest() {
    let place = unsigned();
    let refused = |name: &str, bytes: &[u8], words: &str| {
        place.write(name, bytes);
        by_photo(&place, name).fails(3, &["nothing was read off", words, "type the digest", "--code"]);
    };
    let white = Grey {
        wide: 400,
        dots: vec![255; 400 * 300],
    };
    refused("white.png", &white.png(), "no code is found in it");
    let noise = (0..400_u32 * 300)
        .map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8)
        .collect();
    refused(
        "noise.png",
        &Grey {
            wide: 400,
            dots: noise,
        }
        .png(),
        "no code is found in it",
    );
    refused(
        "one.png",
        &Grey {
            wide: 1,
            dots: vec![0],
        }
        .png(),
        "no code is found in it",
    );
    for (name, bytes, words) in [
        ("none.jpg", &b""[..], "it is no picture"),
        ("text.png", b"a text", "it is no picture"),
        (
            "phone.heic",
            b"\0\0\0\x18ftypheic\0\0\0\0",
            "it is HEIC, AVIF or a film, which is not read here; save it as",
        ),
        ("sheet.pdf", b"%PDF-1.7\n", "it is a PDF"),
        ("web.webp", b"RIFF\0\0\0\0WEBPVP8 ", "it is WebP"),
        ("scan.tif", b"II*\0\0\0\0\0", "it is TIFF"),
        ("cut.png", &white.png()[..60], "cut or damaged"),
        ("head.jpg", b"\xff\xd8\xff\xe0\0\x10JFIF\0", "cut or damaged"),
    ] {
        refused(name, bytes, words);
    }
    // a head that promises more dots than anything holds
    let mut huge = Vec::new();
    drop(
        png::Encoder::new(&mut huge, 60_000, 60_000)
            .write_header()
            .unwrap(),
    );
    refused("huge.png", &huge, "60000 times 60000 dots");
    // a code of something else
    let code = qrcode::QrCode::new(b"https://invented.example").unwrap();
    let side = code.width() + 8;
    let mut dots = vec![255; side * side * 36];
    for (n, dark) in code.to_colors().into_iter().enumerate() {
        if dark == qrcode::Color::Dark {
            let (x, y) = (n % code.width() + 4, n / code.width() + 4);
            for row in 0..6 {
                let at = (y * 6 + row) * side * 6 + x * 6;
                dots[at..at + 6].fill(0);
            }
        }
    }
    let other = Grey { wide: side * 6, dots };
    refused(
        "other.png",
        &other.png(),
        "the code in it is not of a build sheet",
    );
    assert_eq!(
        code_in_photo(&other.png(), &|_| PhotoCode::Large).as_deref(),
        Ok("https://invented.example")
    );
    // changed anywhere, it is read or refused, and nothing falls over
    let whole = other.png();
    for at in (0..whole.len()).step_by(whole.len() / 60 + 1) {
        let mut changed = whole.clone();
        changed[at] ^= 0x41;
        let read = code_in_photo(&changed, &|_| PhotoCode::Large);
        assert!(
            read.is_ok()
                || matches!(
                    read,
                    Err(PhotoError::NoCode
                        | PhotoError::Damaged
                        | PhotoError::NotAPicture
                        | PhotoError::TooLarge { .. })
                ),
            "{at}: {read:?}"
        );
    }
}
