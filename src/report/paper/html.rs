//! What pages are made of.

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd, html};
use serde_json::Value;
use sha2::{Digest, Sha256};

use super::table::Grid;

/// A drawing for the page.
#[derive(Debug, Clone)]
pub(crate) struct Figure {
    /// Name of its files, without ending.
    pub stem: String,
    /// The drawing.
    pub svg: String,
    /// Whether it is higher than wide: on paper it then takes a page for itself.
    pub tall: bool,
}

const STYLE: &str = "\
:root{--ink:#1a1a1a;--rule:#c9c6bf;--paper:#fdfcf9}\
body{margin:0 auto;max-width:62rem;padding:2rem 1.25rem 4rem;background:var(--paper);color:var(--ink);overflow-wrap:break-word;\
font:1rem/1.5 'DejaVu Sans',Verdana,sans-serif}\
h1{font-size:1.5rem;margin:0}h2{font-size:1.15rem;margin:2.5rem 0 .75rem;border-top:2px solid var(--ink);padding-top:.6rem}\
.answer{white-space:pre-line;font-size:1.15rem;border-left:.4rem solid var(--ink);padding:.25rem 0 .25rem 1rem;margin:1.25rem 0}\
figure{margin:1rem 0}figure svg{width:100%;height:auto}\
.wide{overflow-x:auto;width:min-content;min-width:100%;max-width:calc(100vw - 4rem);position:relative;left:50%;transform:translateX(-50%)}\
details .wide{width:auto;max-width:none;left:0;transform:none}.id{white-space:nowrap}.many table{font-size:.72rem}.sheet table{font-size:.64rem}.sheet th,.sheet td{padding:.3rem}.many th,.many td{padding:.3rem}\
table{border-collapse:collapse;font-size:.8rem;font-variant-numeric:tabular-nums}\
th,td{text-align:left;padding:.3rem .45rem;border-bottom:1px solid var(--rule);vertical-align:top}\
th{border-bottom:2px solid var(--ink)}td.n,th.n{text-align:right}td:first-child,td:nth-child(2){white-space:nowrap}td.n{white-space:nowrap}.many td:nth-child(2),.many td.l{white-space:normal}\
details{margin:.5rem 0;border:1px solid var(--rule);padding:.4rem .8rem}\
summary{cursor:pointer}details h1{font-size:1.1rem;margin:1rem 0 .5rem}details h2{font-size:1rem;border:0;margin:1rem 0 .3rem;padding:0}\
.wide pre{font-size:.75rem;white-space:pre-wrap}.sign{width:100%;table-layout:fixed}.sign td{height:2.5rem}.sign th:first-child{width:6rem}\
@media screen and (min-width:60.01rem) and (max-width:75rem){.wide table{font-size:.7rem}.many table{font-size:.62rem}.many th,.many td{padding:.25rem .18rem}.sheet table{font-size:.56rem}.sheet th{overflow-wrap:anywhere}}\
@media screen and (max-width:40rem){.front{display:flex;flex-direction:column}.front:first-of-type>figure{order:1}figure:has(>svg){overflow-x:auto}figure>svg{min-width:36rem}}\
@media screen and (max-width:60rem){body{padding:1rem .75rem 3rem}.wide{overflow:visible;width:auto;max-width:none;left:0;transform:none}\
table:has(td[data-h]) thead{display:none}table:has(td[data-h]),table:has(td[data-h]) tbody{display:block}tr:has(td[data-h]){display:block;border-top:2px solid var(--ink);padding:.3rem 0}\
tr td[data-h],.many tr td[data-h]{display:flow-root;white-space:normal;text-align:right;font-size:.8rem;overflow-wrap:anywhere}td[data-h]::before{content:attr(data-h);float:left;text-align:left;max-width:45%;margin-right:1rem}tr td[data-h]:empty,.many tr td[data-h]:empty{display:none}.sheet th{overflow-wrap:anywhere}}\
.paper{display:none}\
@page{size:A4;margin:12mm}\
@media print{:root{--paper:#fff}.paper{display:block}.screen{display:none}\
body{max-width:none;padding:0;font-size:.7rem;line-height:1.35}h1{font-size:1.1rem}header p,p{margin:.3rem 0}ul{margin:.3rem 0;padding-left:1.1rem}\
h2{font-size:.9rem;margin:.9rem 0 .35rem;padding-top:.3rem;border-top-width:1px}.answer{font-size:.9rem;margin:.5rem 0}\
.front{height:271mm;display:flex;flex-direction:column;break-after:page}.front>*{flex:none}.front>figure{flex:1 1 0;min-height:5cm;margin:.3rem 0}.front>figure svg{width:100%;height:100%;max-height:none}\
figure{margin:.4rem 0}figure svg{max-height:10.5cm;width:auto}.tall svg{max-height:25cm}h1,h2,h3,h4,summary,thead{break-after:avoid}thead{display:table-header-group}tr,figure,li,.answer,.sign{break-inside:avoid}\
.wide{overflow:visible;width:auto;max-width:none;left:0;transform:none}table,.many table,.sheet table{font-size:.56rem;line-height:1.25}.many table{width:100%}th,td,.many th,.many td,.sheet th,.sheet td{padding:.13rem .2rem}\
td,.many td,.many td:nth-child(2){white-space:nowrap}td:not(.n):nth-child(n+2){white-space:normal}.front .many tr td{white-space:nowrap}\
.sheet th{overflow-wrap:anywhere;white-space:normal}.sheet table,.many table{font-size:.5rem}.front .many table{font-size:.52rem}.front .many~p{font-size:.58rem;line-height:1.3;margin:.25rem 0}.sign td{height:1.7rem}.sign td,.sign th{font-size:.65rem}details{border:0;padding:0}details::details-content{content-visibility:visible;height:auto}.wide pre{font-size:.5rem}}";

/// What the scripts below need, light and dark.
const LIVE_STYLE: &str = include_str!("page/page.css");

/// Tables that sort, and one choice for all that a page shows.
const TABLES_SCRIPT: &str = include_str!("page/tables.js");

/// The drive in space; on pages with [`Html::view`].
const VIEW_SCRIPT: &str = include_str!("page/view.js");

/// A name longer than this may break after its joiners: a phone has no line for it.
const LONGEST_UNBROKEN: usize = 28;

/// A table of more columns is set closer, and its names may break: the last columns, which are what it
/// comes to, are to be seen without sliding it.
const FEW_COLUMNS: usize = 12;

/// Whether a hyphen stands between letters or digits of a name: a line could break after it. A date is none.
fn has_joiner(word: &str) -> bool {
    let letters: Vec<char> = word.chars().collect();
    word.contains(char::is_alphabetic)
        && letters.windows(3).any(|w| w[1] == '-' && w[0].is_alphanumeric() && w[2].is_alphanumeric())
}

/// HTML in the making.
#[derive(Debug, Default)]
pub(crate) struct Html(String, Vec<&'static str>);

impl Html {
    /// Adds markup as it stands.
    pub(crate) fn raw(&mut self, html: &str) -> &mut Self {
        self.0.push_str(html);
        self
    }

    /// Adds text; markup in it is shown, not obeyed.
    pub(crate) fn text(&mut self, text: &str) -> &mut Self {
        for c in text.chars() {
            match c {
                '&' => self.0.push_str("&amp;"),
                '<' => self.0.push_str("&lt;"),
                '>' => self.0.push_str("&gt;"),
                '"' => self.0.push_str("&quot;"),
                c => self.0.push(c),
            }
        }
        self
    }

    /// Text for people: names with a joiner in them, such as those of wedges, do not break over lines.
    pub(crate) fn prose(&mut self, text: &str) -> &mut Self {
        let mut rest = text;
        while let Some(start) = rest.find(|c: char| !c.is_whitespace()) {
            let (space, from) = rest.split_at(start);
            let (word, after) = from.split_at(from.find(char::is_whitespace).unwrap_or(from.len()));
            self.text(space);
            if has_joiner(word) && word.chars().count() <= LONGEST_UNBROKEN {
                self.raw("<span class=\"id\">").text(word).raw("</span>");
            } else {
                self.text(word);
            }
            rest = after;
        }
        self.text(rest)
    }

    /// The answer, which every page begins with.
    pub(crate) fn answer(&mut self, text: &str) {
        self.raw("<p class=\"answer\">").prose(text).raw("</p>");
    }

    /// The head of a page: its title, what it is, the version, and the date where one was given.
    pub(crate) fn head(&mut self, title: &str, what: &str, dated: Option<&str>) {
        self.raw("<header><h1>").text(title).raw("</h1><p>");
        self.text(&format!("{what} Backhold {}.", env!("CARGO_PKG_VERSION")));
        if let Some(date) = dated {
            self.text(&format!(" Dated {date}."));
        }
        self.raw("</p></header>");
    }

    /// A sheet of paper of its own: what it holds, and the drawing in it as large as that leaves room for.
    pub(crate) fn front(&mut self, content: impl FnOnce(&mut Self)) {
        self.raw("<section class=\"front\">");
        content(self);
        self.raw("</section>\n");
    }

    /// A paragraph that stands on paper alone.
    pub(crate) fn on_paper(&mut self, text: &str) {
        self.raw("<p class=\"paper\">").prose(text).raw("</p>");
    }

    /// A section's heading.
    pub(crate) fn heading(&mut self, title: &str) {
        self.raw("\n<h2>").text(title).raw("</h2>\n");
    }

    /// A list; nothing without items.
    pub(crate) fn list(&mut self, items: impl Iterator<Item = String>) {
        let items: Vec<String> = items.collect();
        if items.is_empty() {
            return;
        }
        self.raw("<ul>");
        for item in items {
            self.raw("<li>").prose(&item).raw("</li>");
        }
        self.raw("</ul>");
    }

    /// A table; numbers are set to the right. One that is wider than the text stands out of it as far as
    /// the window goes; in a narrow window each row stands as a list of its cells, named by their columns.
    pub(crate) fn table(&mut self, grid: &Grid) {
        self.table_on_paper(grid, &|_| true, &|_| true);
    }

    /// The same, on paper with those rows alone, by their index, and those columns, by their heading, that it
    /// has room for.
    pub(crate) fn table_on_paper(
        &mut self,
        grid: &Grid,
        has_row: &dyn Fn(usize) -> bool,
        has_column: &dyn Fn(&str) -> bool,
    ) {
        let class_of = |name: &str, number: bool| match (number, has_column(name)) {
            (true, true) => " class=\"n\"",
            (true, false) => " class=\"n screen\"",
            (false, true) => "",
            (false, false) => " class=\"screen\"",
        };
        let class = if grid.header.len() > FEW_COLUMNS { "wide many" } else { "wide" };
        self.raw(&format!("<div class=\"{class}\"><table><thead><tr>"));
        for (name, number) in &grid.header {
            self.raw("<th").raw(class_of(name, *number)).raw(">").text(name).raw("</th>");
        }
        self.raw("</tr></thead><tbody>\n");
        for (index, row) in grid.rows.iter().enumerate() {
            self.raw(if has_row(index) { "<tr>" } else { "<tr class=\"screen\">" });
            for (cell, (name, number)) in row.iter().zip(&grid.header) {
                // A list of numbers may break between them: words beside it need the room.
                let list = *number && cell.contains(", ");
                let class = if list {
                    class_of(name, true).replacen("=\"n", "=\"n l", 1)
                } else {
                    class_of(name, *number).into()
                };
                self.raw("<td").raw(&class).raw(" data-h=\"");
                self.text(name).raw("\">").prose(cell).raw("</td>");
            }
            self.raw("</tr>\n");
        }
        self.raw("</tbody></table></div>");
    }

    /// What is folded away until asked for.
    pub(crate) fn details(&mut self, summary: &str, content: impl FnOnce(&mut Self)) {
        self.raw("<details><summary>").text(summary).raw("</summary>");
        content(self);
        self.raw("</details>");
    }

    /// The same, on a screen alone.
    pub(crate) fn details_on_screen(&mut self, summary: &str, content: impl FnOnce(&mut Self)) {
        self.raw("<details class=\"screen\"><summary>").text(summary).raw("</summary>");
        content(self);
        self.raw("</details>");
    }

    /// The same, open at first.
    pub(crate) fn open_details(&mut self, summary: &str, content: impl FnOnce(&mut Self)) {
        self.raw("<details open><summary>").text(summary).raw("</summary>");
        content(self);
        self.raw("</details>");
    }

    /// A paragraph.
    pub(crate) fn paragraph(&mut self, text: &str) {
        self.raw("<p>").prose(text).raw("</p>");
    }

    /// The drawing of this name, where there is one.
    pub(crate) fn figure(&mut self, figures: &[Figure], stem: &str) {
        if let Some(figure) = figures.iter().find(|f| f.stem == stem) {
            self.raw(if figure.tall { "<figure class=\"tall\">" } else { "<figure>" });
            self.raw(&figure.svg).raw("</figure>\n");
        }
    }

    /// The drive in space, from the data that its script draws; without scripts nothing is seen of it.
    pub(crate) fn view(&mut self, data: &Value) {
        // Inside an element of script a "<" could end it.
        let data = data.to_string().replace('<', "\\u003c");
        self.raw("<section class=\"view\" hidden></section>");
        self.raw("<script type=\"application/json\" id=\"view-data\">").raw(&data).raw("</script>\n");
        self.1.push(VIEW_SCRIPT);
    }

    /// The drive in space as a drawing, for paper and for a page without scripts. With them the picture that is seen
    /// when the page is printed takes its place.
    pub(crate) fn still_view(&mut self, figures: &[Figure], stem: &str) {
        self.raw("<div class=\"still\">");
        self.figure(figures, stem);
        self.raw("</div>\n");
    }

    /// Markdown, as wide as it is. Markup in it is shown, never obeyed. Cells of its tables know their
    /// columns, as those of [`Self::table`] do.
    pub(crate) fn markdown(&mut self, text: &str) {
        let (mut headings, mut in_head, mut column) = (Vec::<String>::new(), false, 0);
        let parser = Parser::new_ext(text, Options::ENABLE_TABLES).map(|event| {
            match &event {
                Event::Start(Tag::TableHead) => (in_head, headings) = (true, Vec::new()),
                Event::End(TagEnd::TableHead) => in_head = false,
                Event::Start(Tag::TableRow) => column = 0,
                Event::Start(Tag::TableCell) if in_head => headings.push(String::new()),
                Event::Text(text) | Event::Code(text) if in_head => {
                    if let Some(heading) = headings.last_mut() {
                        heading.push_str(text);
                    }
                }
                _ => {}
            }
            match event {
                Event::Html(text) | Event::InlineHtml(text) | Event::Text(text) => {
                    let mut words = Self::default();
                    words.prose(&text);
                    Event::Html(words.0.into())
                }
                Event::Start(Tag::TableCell) if !in_head => {
                    let mut cell = Self::default();
                    cell.raw("<td data-h=\"")
                        .text(headings.get(column).map_or("", String::as_str))
                        .raw("\">");
                    column += 1;
                    Event::Html(cell.0.into())
                }
                Event::End(TagEnd::TableCell) if !in_head => Event::Html("</td>".into()),
                other => other,
            }
        });
        self.raw("<div class=\"wide sheet\">");
        html::push_html(&mut self.0, parser);
        self.raw("\n</div>");
    }
}

/// A whole page: one file, nothing fetched. Only its own scripts run, whatever stands in names and notes.
pub(crate) fn document(title: &str, body: &Html) -> String {
    let mut escaped = Html::default();
    escaped.text(title);
    let scripts: Vec<&str> = std::iter::once(TABLES_SCRIPT).chain(body.1.iter().copied()).collect();
    let hashes: Vec<String> =
        scripts.iter().map(|script| format!("'sha256-{}'", base64_of_sha256(script))).collect();
    let scripts: String = scripts.iter().map(|script| format!("<script>{script}</script>\n")).collect();
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none';style-src 'unsafe-inline';img-src data:;script-src {}\">\
         <meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\
         <title>{}</title><style>{STYLE}{LIVE_STYLE}</style></head><body>\n{}\n{scripts}</body></html>\n",
        hashes.join(" "),
        escaped.0,
        body.0
    )
}

/// The SHA-256 of a text in base 64, as a page's policy names a script.
fn base64_of_sha256(text: &str) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let digest = Sha256::digest(text.as_bytes());
    let four = |three: &[u8]| -> [char; 4] {
        let at = |i: usize| three.get(i).copied().unwrap_or(0);
        let bits = u32::from_be_bytes([0, at(0), at(1), at(2)]);
        std::array::from_fn(|i| {
            let letter = LETTERS[(bits >> (18 - 6 * i)) as usize & 63];
            if i <= three.len() { letter as char } else { '=' }
        })
    };
    digest.chunks(3).flat_map(four).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_of_many_columns_is_set_closer_and_all_stand_out_of_the_text() {
        let of = |columns: usize| {
            let header = (0..columns).map(|i| (format!("column {i}"), false)).collect();
            let mut body = Html::default();
            body.table(&Grid { header, rows: vec![vec!["cell".into(); columns]] });
            document("title", &body)
        };
        assert!(of(FEW_COLUMNS).contains("<div class=\"wide\"><table>"));
        let many = of(FEW_COLUMNS + 1);
        assert!(many.contains("<div class=\"wide many\"><table>"));
        // What does not fit the window slides; on paper nothing does, so nothing is cut there.
        assert!(
            many.contains(
                ".wide{overflow-x:auto;width:min-content;min-width:100%;max-width:calc(100vw - 4rem)"
            )
        );
        assert!(
            many.contains("@media print{")
                && many.contains(".wide{overflow:visible;width:auto;max-width:none")
        );
    }

    /// In a narrow window a row stands as a list: every cell has to say which column it is of.
    #[test]
    fn every_cell_knows_its_column() {
        let mut body = Html::default();
        let header = vec![("option".to_owned(), false), ("\"min\" a metre".to_owned(), true)];
        body.table(&Grid { header, rows: vec![vec!["a".into(), "31.5".into()]] });
        body.markdown("| joint | N < 0 |\n|---|---|\n| A | 1 |\n| B | 2 |\n");
        for cell in [
            "<td data-h=\"option\">a</td>",
            "<td class=\"n\" data-h=\"&quot;min&quot; a metre\">31.5</td>",
            "<td data-h=\"joint\">A</td><td data-h=\"N &lt; 0\">1</td>",
            "<td data-h=\"joint\">B</td><td data-h=\"N &lt; 0\">2</td>",
        ] {
            assert!(body.0.contains(cell), "{cell}: {}", body.0);
        }
        assert_eq!(body.0.matches("</td>").count(), 6);
        let page = document("title", &body);
        assert!(
            page.contains("td[data-h]::before{content:attr(data-h)") && page.contains("@media screen and")
        );
    }

    #[test]
    fn markup_in_names_is_shown_not_obeyed() {
        let mut body = Html::default();
        body.text("<script>alert(1)</script> & \"x\"");
        assert_eq!(body.0, "&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;x&quot;");
        let mut body = Html::default();
        body.markdown("# Title <img src=x>\n\n<script>alert(1)</script>\n");
        assert!(!body.0.contains("<script") && !body.0.contains("<img"), "{}", body.0);
        let mut body = Html::default();
        body.prose("<script>a-b</script>");
        assert_eq!(body.0, "<span class=\"id\">&lt;script&gt;a-b&lt;/script&gt;</span>");
    }

    #[test]
    fn the_policy_names_the_scripts_of_the_page_and_data_cannot_end_theirs() {
        // openssl dgst -sha256 -binary | base64, of nothing and of "abc".
        assert_eq!(base64_of_sha256(""), "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=");
        assert_eq!(base64_of_sha256("abc"), "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
        let mut body = Html::default();
        body.view(&serde_json::json!({ "id": "</script><script>alert(1)</script>" }));
        let page = document("title", &body);
        for script in [TABLES_SCRIPT, VIEW_SCRIPT] {
            assert!(page.contains(&format!("'sha256-{}'", base64_of_sha256(script))));
            // A script with this in it would end there.
            assert!(!script.contains("</script"));
        }
        assert_eq!(page.matches("<script").count(), 3, "{page}");
        assert_eq!(page.matches("</script").count(), 3, "{page}");
    }

    #[test]
    fn names_with_joiners_stay_on_a_line_unless_no_phone_has_one_so_long() {
        let of = |text: &str| {
            let mut body = Html::default();
            body.prose(text);
            body.0
        };
        assert_eq!(of(" of A-B-C.101,\nand B "), " of <span class=\"id\">A-B-C.101,</span>\nand B ");
        let long = format!("{0}-{0}-{0}.101", "a_long_name");
        assert_eq!(of(&long), long);
        assert_eq!(of("1.2 -> -1.5 on 2026-11-25"), "1.2 -&gt; -1.5 on 2026-11-25");
        let mut sheet = Html::default();
        sheet.markdown("# Wedge A-B-C.101\n\n| of |\n|---|\n| A-B |\n");
        assert_eq!(sheet.0.matches("<span class=\"id\">").count(), 2, "{}", sheet.0);
    }
}
