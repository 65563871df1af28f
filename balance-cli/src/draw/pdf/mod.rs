//! Scenes as PDF: vector lines at true size, letters of the shipped font, one page a scene. The only place that names
//! the PDF library.

mod letters;
mod page;

use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, TextStr};

use super::render::RenderError;
use super::scene::{Scene, Weight};
use crate::paper::Paper;
use letters::{Letters, References};
use page::Place;

/// The fonts under the names by which the pages know them.
const FONTS: [(&[u8], Weight); 2] = [(b"Plain", Weight::Plain), (b"Bold", Weight::Bold)];
/// Objects of the file, in order: catalog, list of pages, information, what all pages use; then the fonts, then the pages.
const CATALOG: Ref = Ref::new(1);
const PAGES: Ref = Ref::new(2);
const INFORMATION: Ref = Ref::new(3);
const FIRST_FONT: i32 = 4;

/// The scenes as one PDF file, a page each, the pages as large as the paper.
///
/// A scene as large as the sheet (a wrap strip) is drawn at its true size; a smaller picture is placed on the upright
/// sheet, up to twice its size. Viewers are asked not to scale the pages when printing (`/PrintScaling /None`). The font
/// is embedded whole and words can be searched and copied. The same scenes give the same bytes.
///
/// # Errors
/// [`RenderError`] when there is no scene, a scene has no size, or the shipped font cannot be read.
pub fn pdf(scenes: &[Scene], paper: Paper) -> Result<Vec<u8>, RenderError> {
    let (Some(first), None) = (scenes.first(), scenes.iter().find(|scene| !has_size(scene))) else {
        let empty = scenes.iter().find(|scene| !has_size(scene));
        let (width, height) = empty.map_or((0.0, 0.0), |scene| (scene.width, scene.height));
        return Err(RenderError::Size { width, height });
    };
    let mut fonts = Vec::new();
    let mut next = FIRST_FONT;
    for (_, weight) in FONTS {
        fonts.push((Letters::of(weight)?, References::from(&mut next)));
    }
    let mut file = Pdf::new();
    write_head(&mut file, first);
    let mut pages = Vec::new();
    for scene in scenes {
        let place = Place::of(scene, paper);
        let mut content = Content::new();
        page::draw(&mut content, scene, place, &mut fonts);
        let (own, drawn) = (Ref::new(next), Ref::new(next + 1));
        next += 2;
        file.stream(drawn, content.finish().as_slice());
        let mut page = file.page(own);
        page.parent(PAGES).contents(drawn);
        page.media_box(Rect::new(0.0, 0.0, place.width as f32, place.height as f32));
        let mut resources = page.resources();
        let mut named = resources.fonts();
        for ((name, _), (_, references)) in FONTS.iter().zip(&fonts) {
            named.pair(Name(name), references.font);
        }
        named.finish();
        pages.push(own);
    }
    file.pages(PAGES).count(pages.len() as i32).kids(pages);
    fonts.iter().for_each(|(letters, references)| letters.embed(&mut file, *references));
    Ok(file.finish())
}

fn has_size(scene: &Scene) -> bool {
    let fits = |length: f64| (1.0..=super::MOST_DOTS).contains(&length);
    fits(scene.width) && fits(scene.height)
}

fn write_head(file: &mut Pdf, first: &Scene) {
    let mut catalog = file.catalog(CATALOG);
    catalog.pages(PAGES).lang(TextStr("en"));
    catalog.viewer_preferences().display_doc_title(true).pair(Name(b"PrintScaling"), Name(b"None"));
    catalog.finish();
    file.document_info(INFORMATION)
        .title(TextStr(&first.title))
        .subject(TextStr(&first.description))
        .producer(TextStr(concat!("balance ", env!("CARGO_PKG_VERSION"))));
}
