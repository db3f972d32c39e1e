//! Writes HTML so that nothing of the user's can become markup: names are constants, text and values of
//! attributes are escaped.

/// A page being written.
#[derive(Default)]
pub struct Page(String);

/// Attributes of an element: constant names, any values.
pub type Attributes<'a> = &'a [(&'static str, &'a str)];

impl Page {
    pub fn into_text(self) -> String {
        self.0
    }

    /// Markup of our own.
    pub fn constant(&mut self, markup: &'static str) {
        self.0.push_str(markup);
    }

    pub fn text(&mut self, text: &str) {
        for c in text.chars() {
            match c {
                '&' => self.0.push_str("&amp;"),
                '<' => self.0.push_str("&lt;"),
                '>' => self.0.push_str("&gt;"),
                '"' => self.0.push_str("&quot;"),
                '\'' => self.0.push_str("&#39;"),
                // Not characters of HTML, save the three that are space.
                c if c.is_control() && !matches!(c, '\t' | '\n' | '\r') => self.0.push('\u{fffd}'),
                c => self.0.push(c),
            }
        }
    }

    pub fn element(&mut self, name: &'static str, attributes: Attributes, inside: impl FnOnce(&mut Page)) {
        self.open(name, attributes);
        inside(self);
        self.0.push_str("</");
        self.0.push_str(name);
        self.0.push('>');
        if ENDS_A_LINE.contains(&name) {
            self.0.push('\n');
        }
    }

    /// An element with text in it.
    pub fn leaf(&mut self, name: &'static str, attributes: Attributes, text: &str) {
        self.element(name, attributes, |page| page.text(text));
    }

    /// A start tag alone.
    pub fn open(&mut self, name: &'static str, attributes: Attributes) {
        self.0.push('<');
        self.0.push_str(name);
        for (key, value) in attributes {
            self.0.push(' ');
            self.0.push_str(key);
            self.0.push_str("=\"");
            self.text(value);
            self.0.push('"');
        }
        self.0.push('>');
    }
}

/// Elements after which the bytes of the page break, for those who read or compare them.
const ENDS_A_LINE: [&str; 14] =
    ["p", "li", "tr", "h1", "h2", "h3", "ol", "ul", "section", "svg", "title", "caption", "table", "div"];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_the_users_becomes_markup() {
        let mut page = Page::default();
        page.leaf("td", &[("title", "\" onload='x'")], "<script>alert(1)</script>&\u{0}");
        assert_eq!(
            page.into_text(),
            "<td title=\"&quot; onload=&#39;x&#39;\">&lt;script&gt;alert(1)&lt;/script&gt;&amp;\u{fffd}</td>"
        );
    }
}
