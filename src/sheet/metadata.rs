//! What a file says of itself, for programs that keep files: its title and language as XMP (ISO 16684-1), and what its greys
//! are.

use super::about::About;
use super::error::{SheetError, failed};
use super::given_font::GivenFont;
use super::measure::on_paper;
use super::pdf_values::utf16;
use super::svg::escaped;
use lopdf::{Document, Object, Stream, dictionary};

/// The name of the profile.
const PROFILE: &str = "Grey, gamma 2.2";

/// Writes it into a file; `font` is one that was handed in.
pub(super) fn write(
    file: &mut Document,
    about: About<'_>,
    font: Option<&GivenFont>,
) -> Result<(), SheetError> {
    let title = on_paper(about.title);
    let set_in = font.map(GivenFont::told);
    let mut info = dictionary! {
        "Title" => utf16(&title),
        "Creator" => Object::string_literal("shimwright"),
    };
    if let Some(record) = about.record {
        info.set("Subject", Object::string_literal(record.build));
    }
    if let Some(words) = &set_in {
        info.set("Keywords", utf16(words));
    }
    let info = file.add_object(info);
    file.trailer.set("Info", info);
    let packet = Stream::new(
        dictionary! { "Type" => "Metadata", "Subtype" => "XML" },
        packet(&title, about.language, set_in.as_deref()).into_bytes(),
    );
    // programs look for it without reading the file (ISO 32000-2, 14.3.2)
    let packet = file.add_object(packet.with_compression(false));
    let profile = file.add_object(Stream::new(dictionary! { "N" => 1 }, grey_profile()));
    let greys = file.add_object(dictionary! {
        "Type" => "OutputIntent",
        "S" => "GTS_PDFA1",
        "OutputConditionIdentifier" => Object::string_literal(PROFILE),
        "Info" => Object::string_literal(PROFILE),
        "DestOutputProfile" => profile,
    });
    let catalog = file.catalog_mut().map_err(failed)?;
    catalog.set("Metadata", packet);
    catalog.set("OutputIntents", vec![greys.into()]);
    catalog.set("PageLayout", "SinglePage");
    catalog.set("Lang", Object::string_literal(about.language));
    catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
    Ok(())
}

/// The packet: title, language, the program, and that it can be read out (ISO 14289-1). Nothing is said of archives
/// (ISO 19005): no validator of that has seen it.
fn packet(title: &str, language: &str, keywords: Option<&str>) -> String {
    let title = escaped(title);
    let keywords = keywords.map_or(String::new(), |words| {
        format!(
            "<rdf:Description rdf:about=\"\" xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\">\
             <pdf:Keywords>{}</pdf:Keywords></rdf:Description>",
            escaped(words)
        )
    });
    format!(
        "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\
         <rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" \
         xmlns:pdfuaid=\"http://www.aiim.org/pdfua/ns/id/\">\
         <dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{title}</rdf:li></rdf:Alt></dc:title>\
         <dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>\
         <xmp:CreatorTool>shimwright</xmp:CreatorTool><pdfuaid:part>1</pdfuaid:part>\
         </rdf:Description>{keywords}</rdf:RDF></x:xmpmeta>\n<?xpacket end=\"r\"?>"
    )
}

/// A profile of greys as a screen has them (ICC.1:2001-04, 6.1 to 6.5): one curve of gamma 2.2 and the white of D50.
fn grey_profile() -> Vec<u8> {
    /// X, Y and Z of D50 in parts of 65 536.
    const D50: [u32; 3] = [0xF6D6, 0x1_0000, 0xD32D];
    let white: Vec<u8> = D50.iter().flat_map(|part| part.to_be_bytes()).collect();
    let words = |kind: &[u8; 4], before: &[u8], text: &str, after: usize| {
        let mut tag = [&kind[..], &[0; 4], before, text.as_bytes(), &[0]].concat();
        tag.resize(tag.len() + after, 0);
        tag
    };
    let length = (PROFILE.len() as u32 + 1).to_be_bytes();
    let tags = [
        // behind the name come its forms in Unicode and for old systems, both empty
        (b"desc", words(b"desc", &length, PROFILE, 4 + 4 + 2 + 1 + 67)),
        (b"cprt", words(b"text", &[], "No rights are reserved", 0)),
        (b"wtpt", [&b"XYZ "[..], &[0; 4], &white].concat()),
        // one entry: the exponent in parts of 256
        (
            b"kTRC",
            [
                &b"curv"[..],
                &[0; 4],
                &1_u32.to_be_bytes(),
                &0x0233_u16.to_be_bytes(),
            ]
            .concat(),
        ),
    ];
    let mut directory = (tags.len() as u32).to_be_bytes().to_vec();
    let mut data: Vec<u8> = Vec::new();
    let from = 128 + 4 + 12 * tags.len();
    for (name, tag) in &tags {
        directory.extend_from_slice(*name);
        for number in [from + data.len(), tag.len()] {
            directory.extend((number as u32).to_be_bytes());
        }
        data.extend(tag);
        data.resize(data.len().next_multiple_of(4), 0);
    }
    let mut head = vec![0; 128];
    let mut put = |at: usize, bytes: &[u8]| head[at..at + bytes.len()].copy_from_slice(bytes);
    put(0, &((from + data.len()) as u32).to_be_bytes());
    put(8, &[2, 0x10]);
    put(12, b"mntrGRAYXYZ ");
    // a day that never changes
    put(24, &[0x07, 0xEA, 0, 1, 0, 1]);
    put(36, b"acsp");
    put(68, &white);
    [head, directory, data].concat()
}
