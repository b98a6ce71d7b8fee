//! The stages of binding, each timed, and the floor.
//!
//! Takes the path of a book; calls the same functions as the command does, in its order.

use crate::{Figures, memory, micros};
use boxwright::book;
use boxwright::diag::{Severity, Sink, Sources};
use boxwright::font::Fonts;
use boxwright::page::lay_out;
use boxwright::pdf::{self, PdfOptions};
use boxwright::pipeline;
use boxwright::sheet::{PressLook, plain};
use flate2::Compression;
use flate2::write::ZlibEncoder;
use rayon::prelude::*;
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::time::Instant;

/// Binds a book for reading and gives the file's bytes.
pub fn bind(path: &Path, figures: &mut Figures) -> Vec<u8> {
    let path = path.to_str().expect("the bench's folder has a plain name");
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let mut files = |path: &str| fs::read(path).map_err(|error| error.to_string());

    let fonts = timed("fonts", figures, Fonts::embedded);
    let mut book = timed("read", figures, || book::read(path, None, &mut files, &mut sources, &mut sink))
        .expect("the invented book reads");
    let planned = timed("plan", figures, || pipeline::plan(&book, &mut sink));
    let material = timed("engrave", figures, || pipeline::material(&planned, &fonts, &mut sink));
    let document = timed("pages-made", figures, || lay_out(&material, &fonts, &mut sink));
    figures.insert("held".to_owned(), memory("VmRSS:"));
    // As the command does: what pages were made of goes before they are written.
    drop(material);
    let tunes = planned.plans.len();
    drop(planned);
    book.release_tunes();
    let errors: Vec<_> = sink.items().iter().filter(|item| item.severity == Severity::Error).take(3).collect();
    assert!(errors.is_empty(), "the invented book has errors: {errors:?}");
    let bytes = timed("write", figures, || {
        let sheets = plain(&document, &fonts, &PressLook::reading());
        pdf::write(&document, &sheets, &fonts, &PdfOptions::reading()).expect("a whole document can be written")
    });
    figures.insert("tunes".to_owned(), tunes as f64);
    figures.insert("pages".to_owned(), document.pages.len() as f64);
    figures.insert("bytes".to_owned(), bytes.len() as f64);
    bytes
}

fn timed<T>(name: &str, figures: &mut Figures, stage: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let made = stage();
    figures.insert(name.to_owned(), micros(start));
    made
}

/// Deflates the content streams of a finished file again, in parallel, and nothing else; the quickest of three times.
pub fn floor(bytes: &[u8], figures: &mut Figures) {
    let file = lopdf::Document::load_mem(bytes).expect("our own file reads");
    let contents: Vec<Vec<u8>> = file.get_pages().into_values().map(|page| file.get_page_content(page)).collect();
    let quickest = (0..3)
        .map(|_| {
            let start = Instant::now();
            let deflated: usize = contents.par_iter().map(|content| deflate(content).len()).sum();
            assert!(deflated > 0, "there is something to deflate");
            micros(start)
        })
        .fold(f64::INFINITY, f64::min);
    figures.insert("floor".to_owned(), quickest);
    figures.insert("content".to_owned(), contents.iter().map(Vec::len).sum::<usize>() as f64);
}

fn deflate(content: &[u8]) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::new(6));
    encoder.write_all(content).expect("a vector takes all bytes");
    encoder.finish().expect("a vector takes all bytes")
}
