//! A unit at its form: opens it by the link that the demo prints, fills it and sends it, as a browser without script does.

use reqwest::multipart::{Form, Part};
use reqwest::{Client, Response};

use super::program::{Program, visitor};

/// Somebody at a unit's form.
#[derive(Clone)]
pub(super) struct Unit {
    client: Client,
    /// The address of the form.
    pub(super) form: String,
}

/// A form that was opened and not sent yet.
#[derive(Clone)]
pub(super) struct Opened {
    /// Its own key: a form sent again carries the same.
    pub(super) key: String,
    item: String,
}

impl Unit {
    /// The unit whose link a demo prints.
    pub(super) fn of_demo(demo: &Program) -> Self {
        let line = demo.line_with("/report/");
        Self { client: visitor(), form: line.trim().to_owned() }
    }

    /// Opens the form.
    pub(super) async fn open(&self) -> Opened {
        let page = self.client.get(&self.form).send().await.expect("the form opens");
        let html = page.text().await.expect("a page");
        let item = html.split("name=\"item\" value=\"").nth(1).expect("an item to choose");
        let key = html.split("name=\"client_key\" value=\"").nth(1).expect("a key");
        let before_quote = |text: &str| text.split('"').next().unwrap_or_default().to_owned();
        Opened { key: before_quote(key), item: before_quote(item) }
    }

    /// Sends it with these words and a photograph, and follows to the receipt. Fails only where no answer comes.
    pub(super) async fn send(&self, opened: &Opened, story: &str) -> reqwest::Result<Response> {
        self.fill(opened, story, "torn.png", photograph()).await
    }

    /// ... with a photograph of this name and content.
    pub(super) async fn send_photo(
        &self,
        opened: &Opened,
        name: &str,
        bytes: Vec<u8>,
    ) -> reqwest::Result<Response> {
        self.fill(opened, "the seam let go", name, bytes).await
    }

    async fn fill(
        &self,
        opened: &Opened,
        story: &str,
        name: &str,
        bytes: Vec<u8>,
    ) -> reqwest::Result<Response> {
        let photo = Part::bytes(bytes).file_name(name.to_owned()).mime_str("image/png")?;
        let form = Form::new()
            .text("client_key", opened.key.clone())
            .text("item", opened.item.clone())
            .text("story", story.to_owned())
            .text("harm", "none")
            .part("photo", photo);
        self.client.post(&self.form).multipart(form).send().await
    }

    /// Sends a body that only claims to be a form, of so many bytes.
    pub(super) async fn send_bytes(&self, path: &str, bytes: usize) -> reqwest::Result<Response> {
        let head = "--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.png\"\r\n\r\n";
        let mut body = head.as_bytes().to_vec();
        body.resize(bytes, b'x');
        let request = self.client.post(path).header("content-type", "multipart/form-data; boundary=x");
        request.body(body).send().await
    }
}

/// A picture of one grey dot (PNG, ISO/IEC 15948).
pub(super) fn photograph() -> Vec<u8> {
    const GREY_DOT: &str = "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b5500\
                            00000a49444154789c636800000082008177cd72b60000000049454e44ae426082";
    let pair = |at| u8::from_str_radix(&GREY_DOT[at..at + 2], 16).expect("two hexadecimal digits");
    (0..GREY_DOT.len()).step_by(2).map(pair).collect()
}
