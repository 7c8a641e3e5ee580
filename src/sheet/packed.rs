//! The file made small: what is no stream of its own goes into compressed streams of objects. Tags are most of a tagged
//! file and are much alike, so that this halves it.
//!
//! Source: ISO 32000-1:2008, 7.5.4 (the table that is read), 7.5.7 (object streams) and 7.5.8 (the table that is
//! written), from memory.

use flate2::Compression;
use flate2::write::ZlibEncoder;
use std::io::Write;

/// Objects in one stream: a reader that wants one must unpack them all.
const OBJECTS_A_STREAM: usize = 500;
/// A line of the table that is read.
const LINE: usize = 20;

/// Where an object is found.
#[derive(Clone, Copy)]
enum Place {
    /// Nowhere: the head of the free list.
    Free,
    At(usize),
    /// In an object stream, at a place among its objects.
    Within {
        stream: usize,
        index: usize,
    },
}

/// The same document in fewer bytes; none where the file is not laid out as the PDF library does it.
pub(super) fn packed(pdf: &[u8]) -> Option<Vec<u8>> {
    let table = number_after(pdf, pdf.windows(9).rposition(|bytes| bytes == b"startxref")? + 9)?;
    let trailer = table + find(&pdf[table..], b"trailer\n<</Size ")?;
    let entries = std::str::from_utf8(&pdf[trailer + b"trailer\n<<".len()..]).ok()?;
    let (entries, _) = entries.split_once(">>\nstartxref")?;
    let root = entries.find("/Root")?;
    let offsets = offsets(pdf, table, trailer)?;

    let mut places = vec![Place::Free; offsets.len() + 1];
    let mut out = pdf.get(..*offsets.first()?)?.to_vec();
    let mut inner: Vec<(usize, &[u8])> = Vec::new();
    let ends = offsets.iter().skip(1).copied().chain([table]);
    for (number, (begin, end)) in (1..).zip(offsets.iter().copied().zip(ends)) {
        let object = pdf.get(begin..end)?;
        let body = object.strip_prefix(format!("{number} 0 obj\n").as_bytes())?;
        let body = body.trim_ascii_end().strip_suffix(b"endobj")?.trim_ascii_end();
        if body.ends_with(b"endstream") {
            places[number] = Place::At(out.len());
            out.extend_from_slice(object);
        } else {
            inner.push((number, body));
        }
    }
    for objects in inner.chunks(OBJECTS_A_STREAM) {
        let stream = places.len();
        for (index, (number, _)) in objects.iter().enumerate() {
            places[*number] = Place::Within { stream, index };
        }
        places.push(Place::At(out.len()));
        write_objects(&mut out, stream, objects)?;
    }
    write_table(&mut out, places, &entries[root..])?;
    Some(out)
}

/// Where each object begins, from the first on; none where they do not stand in their order.
fn offsets(pdf: &[u8], table: usize, trailer: usize) -> Option<Vec<usize>> {
    let lines = pdf.get(table..trailer)?.strip_prefix(b"xref\n0 ")?;
    let lines = &lines[find(lines, b"\n")? + 1..];
    let in_use = lines.chunks_exact(LINE).skip(1);
    let offsets: Option<Vec<usize>> = in_use.map(|line| number_after(line, 0)).collect();
    offsets.filter(|offsets| offsets.is_sorted())
}

fn write_objects(out: &mut Vec<u8>, number: usize, objects: &[(usize, &[u8])]) -> Option<()> {
    let (mut index, mut bodies) = (String::new(), Vec::new());
    for (number, body) in objects {
        index.push_str(&format!("{number} {} ", bodies.len()));
        bodies.extend_from_slice(body);
        bodies.push(b'\n');
    }
    let (count, first) = (objects.len(), index.len());
    let content = [index.as_bytes(), &bodies].concat();
    write_stream(out, number, &format!("/Type/ObjStm/N {count}/First {first}"), &content)
}

/// The table of all places, itself a stream, with the trailer's entries from the root on.
fn write_table(out: &mut Vec<u8>, mut places: Vec<Place>, trailer: &str) -> Option<()> {
    let (number, start) = (places.len(), out.len());
    places.push(Place::At(start));
    let mut lines = Vec::with_capacity(places.len() * 7);
    for place in &places {
        let (kind, at, index) = match *place {
            Place::Free => (0, 0, usize::from(u16::MAX)),
            Place::At(offset) => (1, offset, 0),
            Place::Within { stream, index } => (2, stream, index),
        };
        lines.push(kind);
        lines.extend(u32::try_from(at).ok()?.to_be_bytes());
        lines.extend(u16::try_from(index).ok()?.to_be_bytes());
    }
    let entries = format!("/Type/XRef/Size {}/W[1 4 2]{trailer}", places.len());
    write_stream(out, number, &entries, &lines)?;
    out.extend_from_slice(format!("startxref\n{start}\n%%EOF").as_bytes());
    Some(())
}

fn write_stream(out: &mut Vec<u8>, number: usize, entries: &str, content: &[u8]) -> Option<()> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(content).ok()?;
    let content = encoder.finish().ok()?;
    let length = content.len();
    let head = format!("{number} 0 obj\n<<{entries}/Filter/FlateDecode/Length {length}>>\nstream\n");
    out.extend_from_slice(head.as_bytes());
    out.extend_from_slice(&content);
    out.extend_from_slice(b"\nendstream\nendobj\n");
    Some(())
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).position(|window| window == wanted)
}

/// The number that stands there, perhaps after blanks.
fn number_after(bytes: &[u8], at: usize) -> Option<usize> {
    let rest = bytes.get(at..)?.trim_ascii_start();
    let digits = rest.iter().take_while(|byte| byte.is_ascii_digit()).count();
    std::str::from_utf8(&rest[..digits]).ok()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_laid_out_otherwise_is_left_alone() {
        for pdf in [
            &b""[..],
            b"%PDF-1.7",
            b"%PDF-1.7\nstartxref\n9\n%%EOF",
            b"%PDF-1.7\nxref\n0 2\n0000000000 65535 f\r\n0000000099 00000 n\r\ntrailer\n<</Size 2/Root 1 0 R>>\nstartxref\n9\n%%EOF",
        ] {
            assert_eq!(packed(pdf), None, "{}", String::from_utf8_lossy(pdf));
        }
    }
}
