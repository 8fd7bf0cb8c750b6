//! The code of a sheet, read off a picture of it.

use png::{ColorType, Transformations};
use rxing::helpers::{detect_in_luma_with_hints, detect_multiple_in_luma_with_hints};
use rxing::{BarcodeFormat, DecodeHints, RXingResult};
use std::collections::HashSet;
use std::io::Cursor;
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

/// The most dots that a picture may have; the cameras of phones make up to fifty million.
const MOST_DOTS: usize = 64_000_000;
/// The most dots a side.
const MOST_SIDE: usize = 20_000;
/// The most dots of a picture that is tried at twice its size too: a larger one is larger than any code wants.
const MOST_DOUBLED: usize = 4_000_000;

/// Why no code was read off a picture.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum PhotoError {
    /// A picture of a kind that is not read here.
    #[error("it is {0}, which is not read here; save it as JPEG or PNG")]
    OtherKind(&'static str),
    /// Bytes that are no picture.
    #[error("it is no picture in JPEG or PNG")]
    NotAPicture,
    /// A picture that is cut or damaged, or of a kind of JPEG or PNG that is not read.
    #[error("the picture is cut or damaged, or of a kind that is not read")]
    Damaged,
    /// A picture with too many dots.
    #[error(
        "the picture has {wide} times {high} dots; at most {MOST_SIDE} a side and {MOST_DOTS} in all are read"
    )]
    TooLarge {
        /// Its width.
        wide: usize,
        /// Its height.
        high: usize,
    },
    /// A picture in which no code is found.
    #[error("no code is found in it")]
    NoCode,
    /// A code that is not of a sheet.
    #[error("the code in it is not of a build sheet")]
    OtherCode,
}

/// What a code in a picture is, the one that says more of a sheet behind the other.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum PhotoCode {
    /// Of no sheet.
    Other,
    /// The small one, which is on each page.
    Small,
    /// The large one, with the figures.
    Large,
}

/// A picture in greys, a byte a dot, row by row from the top.
#[derive(Clone)]
struct Grey {
    wide: usize,
    high: usize,
    dots: Vec<u8>,
}

/// The text of the code in a picture in JPEG or PNG, for which `kind_of` says what it is: of several the one that says most of a
/// sheet. The picture is tried as it is, at half its size, where noise is less, and at twice its size, where dots are many enough.
///
/// What is in it is foreign: a library that reads it may panic, which is for the caller to keep off.
///
/// # Errors
///
/// [`PhotoError`].
pub fn code_in_photo(bytes: &[u8], kind_of: &dyn Fn(&str) -> PhotoCode) -> Result<String, PhotoError> {
    let picture = Grey::read(bytes)?;
    let mut why = PhotoError::NoCode;
    let sizes: [&dyn Fn() -> Option<Grey>; 3] = [&|| Some(picture.clone()), &|| picture.halved(), &|| {
        picture.doubled()
    }];
    for size in sizes {
        let Some(picture) = size() else {
            continue;
        };
        // most pictures have one code, and that is found sooner
        let mut codes: Vec<String> = picture.code().into_iter().collect();
        if codes.iter().any(|text| kind_of(text) < PhotoCode::Large) {
            codes.extend(picture.codes());
        }
        match codes.into_iter().max_by_key(|text| kind_of(text)) {
            Some(text) if kind_of(&text) > PhotoCode::Other => return Ok(text),
            Some(_) => why = PhotoError::OtherCode,
            None => {}
        }
    }
    Err(why)
}

fn harder() -> DecodeHints {
    DecodeHints {
        TryHarder: Some(true),
        PossibleFormats: Some(HashSet::from([BarcodeFormat::QR_CODE])),
        ..DecodeHints::default()
    }
}

impl Grey {
    /// Its width and height, as the reader of codes wants them.
    fn sides(&self) -> Option<(u32, u32)> {
        Some((u32::try_from(self.wide).ok()?, u32::try_from(self.high).ok()?))
    }

    /// The text of a code in it.
    fn code(&self) -> Option<String> {
        let (wide, high) = self.sides()?;
        let qr = Some(BarcodeFormat::QR_CODE);
        let read = detect_in_luma_with_hints(self.dots.clone(), wide, high, qr, &mut harder());
        read.ok().map(|read| read.getText().to_string())
    }

    /// The texts of all codes in it.
    fn codes(&self) -> Vec<String> {
        let text = |read: RXingResult| read.getText().to_string();
        let read = self.sides().and_then(|(wide, high)| {
            detect_multiple_in_luma_with_hints(self.dots.clone(), wide, high, &mut harder()).ok()
        });
        read.into_iter().flatten().map(text).collect()
    }

    fn read(bytes: &[u8]) -> Result<Grey, PhotoError> {
        match bytes {
            [0xff, 0xd8, 0xff, ..] => Grey::read_jpeg(bytes),
            [0x89, b'P', b'N', b'G', ..] => Grey::read_png(bytes),
            [_, _, _, _, b'f', b't', b'y', b'p', ..] => Err(PhotoError::OtherKind("HEIC, AVIF or a film")),
            [b'%', b'P', b'D', b'F', ..] => Err(PhotoError::OtherKind("a PDF")),
            [b'R', b'I', b'F', b'F', ..] => Err(PhotoError::OtherKind("WebP")),
            [b'G', b'I', b'F', ..] => Err(PhotoError::OtherKind("GIF")),
            [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => {
                Err(PhotoError::OtherKind("TIFF or a raw picture"))
            }
            [b'B', b'M', ..] => Err(PhotoError::OtherKind("BMP")),
            _ => Err(PhotoError::NotAPicture),
        }
    }

    fn read_jpeg(bytes: &[u8]) -> Result<Grey, PhotoError> {
        let options = DecoderOptions::default()
            .jpeg_set_out_colorspace(ColorSpace::Luma)
            .set_max_width(usize::from(u16::MAX))
            .set_max_height(usize::from(u16::MAX));
        let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
        decoder.decode_headers().map_err(|_| PhotoError::Damaged)?;
        let (wide, high) = decoder.dimensions().ok_or(PhotoError::Damaged)?;
        fits(wide, high)?;
        let dots = decoder.decode().map_err(|_| PhotoError::Damaged)?;
        Grey { wide, high, dots }.whole()
    }

    fn read_png(bytes: &[u8]) -> Result<Grey, PhotoError> {
        let mut decoder = png::Decoder::new(Cursor::new(bytes));
        decoder.set_transformations(Transformations::normalize_to_color8());
        let head = decoder.read_header_info().map_err(|_| PhotoError::Damaged)?;
        let (wide, high) = (head.width as usize, head.height as usize);
        fits(wide, high)?;
        let mut reader = decoder.read_info().map_err(|_| PhotoError::Damaged)?;
        let size = reader.output_buffer_size().ok_or(PhotoError::Damaged)?;
        let mut read = vec![0; size];
        let frame = reader.next_frame(&mut read).map_err(|_| PhotoError::Damaged)?;
        // what shines through lies on white
        let over =
            |grey: u32, alpha: u8| ((grey * u32::from(alpha) + 255 * (255 - u32::from(alpha))) / 255) as u8;
        let grey =
            |dot: &[u8]| (u32::from(dot[0]) * 299 + u32::from(dot[1]) * 587 + u32::from(dot[2]) * 114) / 1000;
        let dots = match frame.color_type {
            ColorType::Grayscale => read,
            ColorType::GrayscaleAlpha => read
                .chunks_exact(2)
                .map(|dot| over(u32::from(dot[0]), dot[1]))
                .collect(),
            ColorType::Rgb => read.chunks_exact(3).map(|dot| grey(dot) as u8).collect(),
            ColorType::Rgba => read.chunks_exact(4).map(|dot| over(grey(dot), dot[3])).collect(),
            ColorType::Indexed => return Err(PhotoError::Damaged),
        };
        Grey { wide, high, dots }.whole()
    }

    /// The picture, where it has as many dots as it says.
    fn whole(self) -> Result<Grey, PhotoError> {
        match self.dots.len() == self.wide * self.high && !self.dots.is_empty() {
            true => Ok(self),
            false => Err(PhotoError::Damaged),
        }
    }

    /// At half its size, each dot the mean of four.
    fn halved(&self) -> Option<Grey> {
        let (wide, high) = (self.wide / 2, self.high / 2);
        let at = |x: usize, y: usize| u16::from(self.dots[y * self.wide + x]);
        let mean = |x: usize, y: usize| (at(x, y) + at(x + 1, y) + at(x, y + 1) + at(x + 1, y + 1)) / 4;
        let dots = (0..high).flat_map(|y| (0..wide).map(move |x| (2 * x, 2 * y)));
        let dots: Vec<u8> = dots.map(|(x, y)| mean(x, y) as u8).collect();
        (!dots.is_empty()).then_some(Grey { wide, high, dots })
    }

    /// At twice its size, the new dots between their neighbours.
    fn doubled(&self) -> Option<Grey> {
        if self.dots.len() > MOST_DOUBLED {
            return None;
        }
        let (wide, high) = (self.wide * 2, self.high * 2);
        let at = |x: usize, y: usize| {
            u16::from(self.dots[y.min(self.high - 1) * self.wide + x.min(self.wide - 1)])
        };
        let between = |x: usize, y: usize| {
            let (left, top) = (x / 2, y / 2);
            let (right, low) = (left + x % 2, top + y % 2);
            (at(left, top) + at(right, top) + at(left, low) + at(right, low)) / 4
        };
        let dots = (0..high).flat_map(|y| (0..wide).map(move |x| (x, y)));
        let dots = dots.map(|(x, y)| between(x, y) as u8).collect();
        Some(Grey { wide, high, dots })
    }
}

fn fits(wide: usize, high: usize) -> Result<(), PhotoError> {
    let dots = wide.checked_mul(high);
    match wide <= MOST_SIDE && high <= MOST_SIDE && dots.is_some_and(|dots| dots <= MOST_DOTS) {
        true => Ok(()),
        false => Err(PhotoError::TooLarge { wide, high }),
    }
}
