//! Templates in the binary, each with the typed page that fills it.

use domain::distribution::Marking;
use fluent_bundle::FluentValue;
use handlebars::{
    Context, Handlebars, Helper, HelperDef, HelperResult, Output, PathAndJson, RenderContext, RenderError,
    RenderErrorReason, ScopedJson,
};
use rust_embed::RustEmbed;
use serde::Serialize;

use crate::assets;
use crate::tongue::Tongue;

/// A page: the fields of one template, and an example of them.
pub trait Page: Serialize {
    /// The template's path under `templates/`, without `.hbs`.
    const TEMPLATE: &'static str;

    /// Examples that between them reach every branch of the template.
    fn samples() -> Vec<Self>
    where
        Self: Sized;
}

#[derive(RustEmbed)]
#[folder = "../../templates"]
#[include = "*.hbs"]
struct Files;

/// Only these may go out unescaped, for no browser reads them.
#[derive(RustEmbed)]
#[folder = "../../templates"]
#[include = "mail/*/text.hbs"]
struct PlainFiles;

/// All templates, parsed.
pub struct Templates {
    pages: Handlebars<'static>,
    /// Mails in plain text, where nothing is escaped.
    plain: Handlebars<'static>,
}

impl Templates {
    /// Parses every template. The title block of every sheet carries the marking.
    ///
    /// # Errors
    /// The first template that doesn't parse.
    pub fn load(marking: &Marking) -> Result<Self, Box<handlebars::TemplateError>> {
        let mut registry = Handlebars::new();
        registry.set_strict_mode(true);
        // While developing, an edited template shows without a rebuild; a test doesn't edit any.
        registry.set_dev_mode(cfg!(debug_assertions) && !cfg!(test));
        registry.register_embed_templates_with_extension::<Files>(".hbs").map_err(Box::new)?;
        registry.register_helper("asset", Box::new(asset));
        registry.register_helper("svg", Box::new(svg));
        registry.register_helper("say", Box::new(Speaks));
        registry.register_helper("marking", Box::new(Says(words_of(marking))));
        let mut plain = Handlebars::new();
        plain.set_strict_mode(true);
        plain.register_escape_fn(handlebars::no_escape);
        plain.register_helper("say", Box::new(Speaks));
        plain.register_embed_templates_with_extension::<PlainFiles>(".hbs").map_err(Box::new)?;
        Ok(Self { pages: registry, plain })
    }

    /// Fills a page's template.
    ///
    /// # Errors
    /// A field the template asks for and the page doesn't have.
    pub fn render<P: Page>(&self, page: &P) -> Result<String, Box<handlebars::RenderError>> {
        self.pages.render(P::TEMPLATE, page).map_err(Box::new)
    }

    /// Fills a mail's two templates: plain text, and a page.
    ///
    /// # Errors
    /// A field a template asks for and the mail doesn't have.
    pub(crate) fn mail(
        &self,
        name: &str,
        mail: &impl Serialize,
    ) -> Result<(String, String), Box<handlebars::RenderError>> {
        let text = self.plain.render(&format!("mail/{name}/text"), mail).map_err(Box::new)?;
        let html = self.pages.render(&format!("mail/{name}/html"), mail).map_err(Box::new)?;
        Ok((text, html))
    }
}

#[cfg(test)]
impl Templates {
    /// Fills one partial alone.
    pub(crate) fn partial(
        &self,
        name: &str,
        view: &impl Serialize,
    ) -> Result<String, Box<handlebars::RenderError>> {
        // As a page includes it: texts are in the tongue of the page around it.
        let page = serde_json::json!({ "tongue": "en", "view": view });
        self.pages.render_template(&format!("{{{{> partials/{name} view}}}}"), &page).map_err(Box::new)
    }
}

/// What a title block says of the marking.
fn words_of(marking: &Marking) -> String {
    marking.top.as_ref().or(marking.bottom.as_ref()).map_or_else(|| "none".to_owned(), Clone::clone)
}

/// A helper without parameters that says the same everywhere.
struct Says(String);

impl HelperDef for Says {
    fn call_inner<'reg: 'rc, 'rc>(
        &self,
        _: &Helper<'rc>,
        _: &'reg Handlebars<'reg>,
        _: &'rc Context,
        _: &mut RenderContext<'reg, 'rc>,
    ) -> Result<ScopedJson<'rc>, RenderError> {
        // As a value it is escaped like any other.
        Ok(ScopedJson::Derived(self.0.clone().into()))
    }
}

/// `{{say "receipt-sent" unit=unit date=sent}}`: a text in the tongue of what is written, which may not be the
/// shell's, with what is filled in. A mail to whom nobody asked for a language says all: `in=tongue` chooses.
struct Speaks;

impl HelperDef for Speaks {
    fn call_inner<'reg: 'rc, 'rc>(
        &self,
        helper: &Helper<'rc>,
        _: &'reg Handlebars<'reg>,
        page: &'rc Context,
        _: &mut RenderContext<'reg, 'rc>,
    ) -> Result<ScopedJson<'rc>, RenderError> {
        let wrong = |why: String| RenderErrorReason::Other(why);
        let asked = helper.hash_get("in").map(PathAndJson::value);
        let of_page = || page.data().get("tongue").or_else(|| page.data().pointer("/shell/tongue"));
        let tongue = asked.or_else(of_page);
        let language = tongue.and_then(|tongue| tongue.as_str()).and_then(|code| code.parse().ok());
        let tongue = Tongue::of(language.ok_or_else(|| wrong("the page has no tongue".into()))?);
        let key = helper.param(0).and_then(|param| param.value().as_str()).unwrap_or_default();
        let filled: Vec<(&str, FluentValue<'_>)> = helper
            .hash()
            .iter()
            .filter(|(name, _)| **name != "in")
            .map(|(&name, value)| {
                (name, value.value().as_str().map_or_else(|| value.render().into(), Into::into))
            })
            .collect();
        // As a value it is escaped like any other.
        Ok(ScopedJson::Derived(tongue.find(key, &filled).map_err(wrong)?.into()))
    }
}

/// `{{asset "desk.css"}}`: the lasting address of a file that ships with the program.
fn asset(
    helper: &Helper<'_>,
    _: &Handlebars<'_>,
    _: &Context,
    _: &mut RenderContext<'_, '_>,
    out: &mut dyn Output,
) -> HelperResult {
    let name = helper.param(0).and_then(|param| param.value().as_str()).unwrap_or_default();
    let url = assets::url(name)
        .ok_or_else(|| RenderErrorReason::Other(format!("no file `{name}` ships with the program")))?;
    out.write(&url)?;
    Ok(())
}

/// `{{svg chart}}`: a drawing made by `charts`, unescaped. Text from people is a JSON string and a drawing
/// an object, so text can never come through here.
fn svg(
    helper: &Helper<'_>,
    _: &Handlebars<'_>,
    _: &Context,
    _: &mut RenderContext<'_, '_>,
    out: &mut dyn Output,
) -> HelperResult {
    let drawing = helper.param(0).and_then(|param| param.value().get("svg")?.as_str().map(str::to_owned));
    out.write(&drawing.ok_or_else(|| RenderErrorReason::Other("only a drawing goes through `svg`".into()))?)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use domain::language::Language;

    use super::*;
    use crate::pages::for_each_page;

    struct RenderAll<'a> {
        templates: &'a Templates,
        seen: BTreeSet<String>,
    }

    impl crate::pages::PageVisitor for RenderAll<'_> {
        fn visit<P: Page>(&mut self) {
            let samples = P::samples();
            assert!(!samples.is_empty(), "{} has no sample", P::TEMPLATE);
            for sample in &samples {
                let mut page = serde_json::to_value(sample).unwrap();
                let is_for_units = page["shell"]["languages"].as_array().is_some_and(|all| !all.is_empty());
                let languages = if is_for_units { Language::ALL } else { &[Language::English] };
                for language in languages {
                    page["shell"]["tongue"] = language.word().into();
                    let html = self.templates.pages.render(P::TEMPLATE, &page);
                    let html = html.unwrap_or_else(|e| panic!("{}: {e}", P::TEMPLATE));
                    let has_layout = html.starts_with("<!doctype html>") && html.ends_with("</html>\n");
                    assert!(has_layout, "{} has no layout, or half of one", P::TEMPLATE);
                    assert!(!html.contains("style="), "{} has an inline style", P::TEMPLATE);
                }
            }
            self.seen.insert(P::TEMPLATE.to_owned());
        }
    }

    #[test]
    fn every_page_template_renders_with_its_samples() {
        let templates = Templates::load(&Marking::default()).unwrap();
        let mut all = RenderAll { templates: &templates, seen: BTreeSet::new() };
        for_each_page(&mut all);
        let files: BTreeSet<String> = Files::iter()
            .filter(|name| name.starts_with("pages/"))
            .filter_map(|name| name.strip_suffix(".hbs").map(str::to_owned))
            .collect();
        assert_eq!(files, all.seen, "left: files, right: pages named in for_each_page");
    }

    #[test]
    fn no_template_writes_unescaped_text_or_inline_script() {
        for name in Files::iter() {
            let file = Files::get(&name).unwrap();
            let text = std::str::from_utf8(&file.data).unwrap();
            assert!(!text.contains("{{{") && !text.contains("{{&"), "{name} writes unescaped text");
            assert!(!text.contains(" style="), "{name} has an inline style");
            assert!(!text.contains("<script>") && !text.contains(" onclick"), "{name} has an inline script");
        }
    }

    #[test]
    fn text_never_passes_for_a_drawing() {
        let templates = Templates::load(&Marking::default()).unwrap();
        let hostile = serde_json::json!({ "chart": "<script>" });
        assert!(templates.pages.render_template("{{svg chart}}", &hostile).is_err());
    }

    #[test]
    fn a_title_block_carries_the_marking_of_the_settings() {
        let block = |marking: &Marking| {
            Templates::load(marking)
                .unwrap()
                .partial("title_block", &crate::view::TitleBlock::sample())
                .unwrap()
        };
        assert!(block(&Marking::default()).contains("<dt>Marking</dt><dd>none</dd>"));
        let marking = Marking { top: Some("RESCUE & <INTERNAL>".into()), bottom: None };
        assert!(block(&marking).contains("<dd>RESCUE &amp; &lt;INTERNAL&gt;</dd>"));
    }
}
