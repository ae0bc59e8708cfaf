//! What the editor asks, and what it is answered.

use std::path::Path;

use lsp_server::{ErrorCode, Request};
use lsp_types::{
    CodeAction, CodeActionKind, CodeActionParams, CompletionItem, CompletionItemKind, CompletionList, CompletionParams,
    CompletionTextEdit, DocumentHighlight, DocumentLink, DocumentLinkParams, DocumentSymbol, DocumentSymbolParams,
    Documentation, FoldingRange, FoldingRangeParams, GotoDefinitionParams, HoverContents, HoverParams, InlayHint,
    InlayHintKind, InlayHintLabel, InlayHintParams, Location, MarkupContent, MarkupKind, ReferenceParams, RenameParams,
    SemanticTokensParams, SymbolKind, TextDocumentPositionParams, TextEdit, Uri, WorkspaceEdit, WorkspaceSymbolParams,
};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use super::positions::Lines;
use super::{Server, Standing, capabilities, renaming, texts};
use crate::desk::{self, Completion, Desk, Sort, Symbol};
use crate::diagnostics::{Confidence, Fix, Severity};
use crate::format;
use crate::source::Span;

/// The answer, or why there is none.
pub type Answer = Result<Value, (ErrorCode, String)>;

/// No list of completions is longer: who types on gets a shorter one.
const MOST_COMPLETIONS: usize = 400;

/// Answers a request. One that is not known here is told so; the editor then does without.
pub fn answer(server: &mut Server, request: &Request) -> Answer {
    match request.method.as_str() {
        "textDocument/completion" => completion(server, &read(request)?),
        "textDocument/hover" => hover(server, &read(request)?),
        "textDocument/definition" => definition(server, &read(request)?),
        "textDocument/references" => references(server, &read(request)?),
        "textDocument/documentHighlight" => highlights(server, &read::<lsp_types::DocumentHighlightParams>(request)?),
        "textDocument/prepareRename" => prepare_rename(server, &read(request)?),
        "textDocument/rename" => rename(server, &read(request)?),
        "textDocument/documentSymbol" => symbols(server, &read(request)?),
        "textDocument/foldingRange" => folds(server, &read(request)?),
        "textDocument/documentLink" => links(server, &read(request)?),
        "textDocument/codeAction" => actions(server, &read(request)?),
        "textDocument/inlayHint" => hints(server, &read(request)?),
        "textDocument/semanticTokens/full" => colours(server, &read(request)?),
        "textDocument/formatting" => formatting(server, &read(request)?),
        "workspace/symbol" => all_symbols(server, &read(request)?),
        other => Err((ErrorCode::MethodNotFound, format!("{other} is not known here"))),
    }
}

fn read<T: DeserializeOwned>(request: &Request) -> Result<T, (ErrorCode, String)> {
    serde_json::from_value(request.params.clone())
        .map_err(|error| (ErrorCode::InvalidParams, format!("{}: {error}", request.method)))
}

/// A text with its desk and the byte that is meant.
struct At<'s> {
    standing: &'s Standing,
    desk: &'s Desk,
    lines: Lines<'s>,
    offset: usize,
}

fn at<'s>(server: &'s mut Server, place: &TextDocumentPositionParams) -> Option<At<'s>> {
    let encoding = server.client.encoding;
    let standing = server.standing(&place.text_document.uri)?;
    let lines = Lines::of(&standing.text.text, encoding);
    let offset = lines.offset(place.position);
    Some(At { standing, desk: standing.desk.as_ref()?, lines, offset })
}

fn completion(server: &mut Server, params: &CompletionParams) -> Answer {
    let uri = &params.text_document_position.text_document.uri;
    let encoding = server.client.encoding;
    // Of the newest text, with the names of the last one that was read: who types on does not wait.
    let Some(standing) = server.texts.get(uri.as_str()) else { return Ok(Value::Null) };
    if standing.desk.is_none() {
        server.standing(uri);
    }
    let Some(standing) = server.texts.get(uri.as_str()) else { return Ok(Value::Null) };
    let (text, Some(desk)) = (&standing.text.text, &standing.desk) else { return Ok(Value::Null) };
    let lines = Lines::of(text, encoding);
    let position = params.text_document_position.position;
    let offset = lines.offset(position);
    let Some((from, all)) = desk.completions(text, offset) else { return Ok(Value::Null) };
    let range = lsp_types::Range { start: lines.position(from), end: position };
    let typed = text.get(from..offset).unwrap_or_default();
    let fits = |one: &&Completion| typed.is_empty() || is_meant(typed, &one.text);
    let mut items: Vec<CompletionItem> = all.iter().filter(fits).map(|one| item(one, range)).collect();
    let is_incomplete = items.len() > MOST_COMPLETIONS;
    items.truncate(MOST_COMPLETIONS);
    Ok(json!(CompletionList { is_incomplete, items }))
}

/// Whether what is typed has its letters in a name, in their order.
fn is_meant(typed: &str, name: &str) -> bool {
    let mut letters = name.chars().flat_map(char::to_lowercase);
    typed.chars().flat_map(char::to_lowercase).all(|wanted| letters.any(|letter| letter == wanted))
}

fn item(one: &Completion, range: lsp_types::Range) -> CompletionItem {
    let kind = match one.sort {
        Sort::Word => CompletionItemKind::KEYWORD,
        Sort::Statement => CompletionItemKind::STRUCT,
        Sort::Name => CompletionItemKind::VARIABLE,
        Sort::Value => CompletionItemKind::ENUM_MEMBER,
        Sort::Unit => CompletionItemKind::UNIT,
        Sort::Library => CompletionItemKind::MODULE,
        Sort::Code => CompletionItemKind::CONSTANT,
    };
    let about = (!one.about.is_empty()).then(|| Documentation::MarkupContent(markdown(&one.about)));
    CompletionItem {
        label: one.text.clone(),
        kind: Some(kind),
        detail: (!one.detail.is_empty()).then(|| one.detail.clone()),
        documentation: about,
        sort_text: Some(format!("{}{}", one.rank, one.text)),
        filter_text: Some(one.text.clone()),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit { range, new_text: one.text.clone() })),
        ..CompletionItem::default()
    }
}

fn markdown(text: &str) -> MarkupContent {
    MarkupContent { kind: MarkupKind::Markdown, value: text.to_owned() }
}

fn hover(server: &mut Server, params: &HoverParams) -> Answer {
    let Some(at) = at(server, &params.text_document_position_params) else { return Ok(Value::Null) };
    let Some(hover) = at.desk.hover(at.offset, at.standing.compiled.as_ref()) else { return Ok(Value::Null) };
    Ok(json!(lsp_types::Hover {
        contents: HoverContents::Markup(markdown(&hover.text)),
        range: Some(at.lines.range(hover.at.range())),
    }))
}

/// A place of a text that was read with another: in the text itself, or in one of its project.
fn location(server: &Server, standing: &Standing, span: Span) -> Option<Location> {
    let desk = standing.desk.as_ref()?;
    let file = desk.sources().get(span.file)?;
    let uri = if span.file.number() == 0 {
        standing.text.uri.clone()
    } else {
        let (project, _) = texts::Project::of(&standing.text, server.client.root.as_deref(), &server.open);
        server.uri_of(&project.file(&file.name).filter(|path| path.is_file())?)?
    };
    Some(Location { uri, range: server.lines(&file.text).range(span.range()) })
}

fn definition(server: &mut Server, params: &GotoDefinitionParams) -> Answer {
    let place = &params.text_document_position_params;
    let Some(found) = at(server, place).and_then(|at| at.desk.thing_at(at.offset).map(|(_, thing)| thing.at())) else {
        return Ok(Value::Null);
    };
    let Some(standing) = server.texts.get(place.text_document.uri.as_str()) else { return Ok(Value::Null) };
    // What the standard library declares stands in no file.
    Ok(location(server, standing, found).map_or(Value::Null, |location| json!(location)))
}

fn references(server: &mut Server, params: &ReferenceParams) -> Answer {
    let place = &params.text_document_position;
    let Some(thing) = renaming::wanted(server, &place.text_document.uri, place.position) else {
        return Ok(Value::Null);
    };
    let with_declaration = params.context.include_declaration;
    let places = renaming::places(server, thing, &place.text_document.uri);
    let places = places.into_iter().filter(|place| with_declaration || !place.declares);
    Ok(json!(places.map(|place| place.location).collect::<Vec<Location>>()))
}

fn highlights(server: &mut Server, params: &lsp_types::DocumentHighlightParams) -> Answer {
    let Some(at) = at(server, &params.text_document_position_params) else { return Ok(Value::Null) };
    let Some((_, thing)) = at.desk.thing_at(at.offset) else { return Ok(Value::Null) };
    let own = at.desk.places_of(thing).into_iter().filter(|span| span.file.number() == 0);
    let highlights = own.map(|span| DocumentHighlight { range: at.lines.range(span.range()), kind: None });
    Ok(json!(highlights.collect::<Vec<_>>()))
}

fn prepare_rename(server: &mut Server, params: &TextDocumentPositionParams) -> Answer {
    let Some(at) = at(server, params) else { return Ok(Value::Null) };
    let Some((span, thing)) = at.desk.thing_at(at.offset) else {
        let left = renaming::left_at(at.desk, at.offset);
        return Ok(left
            .map_or(Value::Null, |(span, name)| json!({"range": at.lines.range(span.range()), "placeholder": name})));
    };
    renaming::may_be_renamed(thing).map_err(refused)?;
    Ok(json!({"range": at.lines.range(span.range()), "placeholder": thing.name()}))
}

fn refused(why: String) -> (ErrorCode, String) {
    (ErrorCode::RequestFailed, why)
}

fn rename(server: &mut Server, params: &RenameParams) -> Answer {
    let place = &params.text_document_position;
    let changes = renaming::rename(server, &place.text_document.uri, place.position, &params.new_name);
    let changes = changes.map_err(refused)?;
    let edits: serde_json::Map<String, Value> =
        changes.into_iter().map(|(uri, edits)| (uri.as_str().to_owned(), json!(edits))).collect();
    Ok(json!({"changes": edits}))
}

fn text_of<'s>(server: &'s Server, uri: &Uri) -> Option<&'s str> {
    server.texts.get(uri.as_str()).map(|standing| &*standing.text.text)
}

fn symbols(server: &mut Server, params: &DocumentSymbolParams) -> Answer {
    let Some(text) = text_of(server, &params.text_document.uri) else { return Ok(Value::Null) };
    let lines = server.lines(text);
    let symbols: Vec<DocumentSymbol> = desk::outline(text).iter().map(|one| document_symbol(one, &lines)).collect();
    Ok(json!(symbols))
}

fn document_symbol(symbol: &Symbol, lines: &Lines<'_>) -> DocumentSymbol {
    let within: Vec<DocumentSymbol> = symbol.within.iter().map(|one| document_symbol(one, lines)).collect();
    let detail = symbol.title.as_ref().map_or(symbol.word.to_owned(), |title| format!("{} · {title}", symbol.word));
    #[allow(deprecated, reason = "the protocol's type has a field that is no longer used")]
    DocumentSymbol {
        name: symbol.name.clone(),
        detail: Some(detail),
        kind: kind_of(symbol.word),
        tags: None,
        deprecated: None,
        range: lines.range(symbol.span.to(symbol.at).range()),
        selection_range: lines.range(symbol.at.range()),
        children: (!within.is_empty()).then_some(within),
    }
}

fn kind_of(word: &str) -> SymbolKind {
    match word {
        "section" => SymbolKind::NAMESPACE,
        "step" | "check" | "action" => SymbolKind::FUNCTION,
        "option" | "observe" | "result" | "state" | "each" => SymbolKind::ENUM,
        "given" | "measure" | "fact" | "limit" => SymbolKind::NUMBER,
        "joint" | "circuit" => SymbolKind::INTERFACE,
        "hazard" => SymbolKind::EVENT,
        _ => SymbolKind::OBJECT,
    }
}

fn all_symbols(server: &mut Server, params: &WorkspaceSymbolParams) -> Answer {
    let mut found: Vec<Value> = Vec::new();
    for (path, text) in renaming::every_text(server, None) {
        let Some(uri) = server.uri_of(&path) else { continue };
        let lines = server.lines(&text);
        let mut all = desk::outline(&text);
        while let Some(symbol) = all.pop() {
            if is_meant(&params.query, &symbol.name) {
                let location = json!({"uri": uri, "range": lines.range(symbol.at.range())});
                found.push(json!({
                    "name": symbol.name, "kind": kind_of(symbol.word), "location": location,
                    "containerName": path.file_stem().and_then(|name| name.to_str()),
                }));
            }
            all.extend(symbol.within);
        }
    }
    found.sort_by_key(|one| one["name"].as_str().map(str::to_owned));
    Ok(json!(found))
}

fn folds(server: &mut Server, params: &FoldingRangeParams) -> Answer {
    let Some(text) = text_of(server, &params.text_document.uri) else { return Ok(Value::Null) };
    let lines = server.lines(text);
    let folds = desk::folds(text).into_iter().map(|span| {
        let range = lines.range(span.range());
        FoldingRange { start_line: range.start.line, end_line: range.end.line, ..FoldingRange::default() }
    });
    Ok(json!(folds.collect::<Vec<_>>()))
}

/// The libraries that a text uses, and the pictures that it shows.
fn links(server: &mut Server, params: &DocumentLinkParams) -> Answer {
    let Some(standing) = server.texts.get(params.text_document.uri.as_str()) else { return Ok(Value::Null) };
    let text = &standing.text.text;
    let lines = server.lines(text);
    let (project, own) = texts::Project::of(&standing.text, server.client.root.as_deref(), &server.open);
    let folder = own.rsplit_once('/').map_or("", |(folder, _)| folder);
    let file = |path: &str| server.uri_of(&project.file(path).filter(|path| path.is_file())?);
    let links = desk::links(text).into_iter().filter_map(|link| {
        let target = match link.to {
            desk::LinkTo::Library(name) => file(&format!("{name}.fitw")),
            desk::LinkTo::Picture(path) => file(Path::new(folder).join(path).to_str()?),
        };
        Some(DocumentLink { range: lines.range(link.at.range()), target: Some(target?), tooltip: None, data: None })
    });
    Ok(json!(links.collect::<Vec<_>>()))
}

/// Each quantity in the other system of units, behind it.
fn hints(server: &mut Server, params: &InlayHintParams) -> Answer {
    let place =
        TextDocumentPositionParams { text_document: params.text_document.clone(), position: params.range.start };
    let Some(at) = at(server, &place) else { return Ok(Value::Null) };
    let shown = at.offset..=at.lines.offset(params.range.end);
    let hints =
        at.desk.hints().into_iter().filter(|hint| shown.contains(&(hint.at.end as usize))).map(|hint| InlayHint {
            position: at.lines.position(hint.at.end as usize),
            label: InlayHintLabel::String(format!("= {}", hint.text)),
            kind: Some(InlayHintKind::TYPE),
            text_edits: None,
            tooltip: None,
            padding_left: Some(true),
            padding_right: None,
            data: None,
        });
    Ok(json!(hints.collect::<Vec<_>>()))
}

/// The repairs of what was found at a place, and all safe ones at once.
fn actions(server: &mut Server, params: &CodeActionParams) -> Answer {
    let Some(standing) = server.texts.get(params.text_document.uri.as_str()) else { return Ok(Value::Null) };
    let wants = |kind: &CodeActionKind| match &params.context.only {
        None => true,
        Some(only) => only.iter().any(|wanted| {
            kind == wanted || kind.as_str().starts_with(&format!("{}.", wanted.as_str())) || wanted.as_str().is_empty()
        }),
    };
    // Of an older state there are no repairs: they would write into another place.
    let Some(told) = standing.last.as_ref().filter(|told| told.number == standing.job) else {
        return Ok(json!([]));
    };
    let lines = server.lines(&standing.text.text);
    let (from, to) = (lines.offset(params.range.start), lines.offset(params.range.end));
    let touches = |span: Span| span.file.number() == 0 && span.start as usize <= to && from <= span.end as usize;
    let mut actions: Vec<CodeAction> = Vec::new();
    if wants(&CodeActionKind::QUICKFIX) {
        for finding in told.findings.iter().filter(|finding| finding.span().is_some_and(touches)) {
            for (at, fix) in finding.fixes.iter().enumerate() {
                let Some(edit) = edit_of(server, told, fix) else { continue };
                let of = server.told.of(&params.text_document.uri);
                let told_so = of.into_iter().filter(|one| {
                    one.code == Some(lsp_types::NumberOrString::String(finding.code.text().to_owned()))
                        && one.message.starts_with(&finding.message)
                });
                actions.push(CodeAction {
                    title: match fix.confidence {
                        Confidence::Safe => fix.title.clone(),
                        Confidence::Look => format!("{} (look at it)", fix.title),
                        Confidence::Blanks => format!("{} (fill in the blanks)", fix.title),
                    },
                    kind: Some(CodeActionKind::QUICKFIX),
                    diagnostics: Some(told_so.collect()),
                    is_preferred: Some(at == 0 && fix.confidence == Confidence::Safe),
                    edit: Some(edit),
                    ..CodeAction::default()
                });
            }
        }
    }
    let safe: Vec<&Fix> = told
        .findings
        .iter()
        .flat_map(|finding| &finding.fixes)
        .filter(|fix| fix.confidence == Confidence::Safe)
        .collect();
    if wants(&CodeActionKind::SOURCE_FIX_ALL) && !safe.is_empty() {
        let mut all = Fix { title: String::new(), confidence: Confidence::Safe, edits: Vec::new() };
        for fix in safe {
            let is_free = |span: Span| {
                all.edits
                    .iter()
                    .all(|edit| edit.span.file != span.file || edit.span.end < span.start || span.end < edit.span.start)
            };
            if fix.edits.iter().all(|edit| is_free(edit.span)) {
                all.edits.extend(fix.edits.iter().cloned());
            }
        }
        all.edits.sort();
        actions.extend(edit_of(server, told, &all).map(|edit| CodeAction {
            title: "Make all safe repairs".to_owned(),
            kind: Some(CodeActionKind::SOURCE_FIX_ALL),
            edit: Some(edit),
            ..CodeAction::default()
        }));
    }
    Ok(json!(actions))
}

/// A repair in the editor's places; `None` where it changes what is no file of the project.
fn edit_of(server: &Server, told: &super::checking::Told, fix: &Fix) -> Option<WorkspaceEdit> {
    let mut changes: serde_json::Map<String, Value> = serde_json::Map::new();
    for edit in &fix.edits {
        let number = edit.span.file.number() as usize;
        let uri = if number == 0 { told.uri.clone() } else { server.uri_of(told.files.get(number)?.as_deref()?)? };
        let text = &told.sources.get(edit.span.file)?.text;
        let change =
            json!(TextEdit { range: server.lines(text).range(edit.span.range()), new_text: edit.text.clone() });
        let edits = changes.entry(uri.as_str().to_owned()).or_insert_with(|| json!([]));
        edits.as_array_mut()?.push(change);
    }
    serde_json::from_value(json!({"changes": changes})).ok()
}

/// What each piece of the text is, in the protocol's numbers: each place told from the one before.
fn colours(server: &mut Server, params: &SemanticTokensParams) -> Answer {
    let Some(standing) = server.standing(&params.text_document.uri) else { return Ok(Value::Null) };
    let (text, Some(desk)) = (standing.text.text.clone(), standing.desk.as_ref()) else { return Ok(Value::Null) };
    let colours = desk.colours(&text);
    let lines = server.lines(&text);
    let mut before = lsp_types::Position::default();
    let mut data: Vec<u32> = Vec::new();
    for colour in colours {
        let range = lines.range(colour.at.range());
        let line = range.start.line.saturating_sub(before.line);
        let from = if line == 0 { before.character } else { 0 };
        if range.start.line != range.end.line || range.start.character < from {
            continue;
        }
        let (kind, modifiers) = capabilities::token(colour.is);
        data.extend([line, range.start.character - from, range.end.character - range.start.character, kind, modifiers]);
        before = range.start;
    }
    Ok(json!({ "data": data }))
}

/// The text in its one form, as the smallest change: only the lines between the first and the last that differ.
fn formatting(server: &mut Server, params: &lsp_types::DocumentFormattingParams) -> Answer {
    let Some(text) = text_of(server, &params.text_document.uri) else { return Ok(Value::Null) };
    let set = format::format(text).map_err(|refusal| {
        let why = refusal.findings().iter().find(|finding| finding.severity() == Severity::Error);
        let why = why.map(|finding| format!(": {}", finding.message)).unwrap_or_default();
        (ErrorCode::RequestFailed, format!("{refusal}{why}"))
    })?;
    if set == text {
        return Ok(json!([]));
    }
    let lines_of = |text: &str| -> Vec<usize> { text.split_inclusive('\n').map(str::len).collect() };
    let (old, new) = (lines_of(text), lines_of(&set));
    let common = |old: &mut dyn Iterator<Item = &str>, new: &mut dyn Iterator<Item = &str>| {
        old.zip(new).take_while(|(old, new)| old == new).count()
    };
    let first = common(&mut text.split_inclusive('\n'), &mut set.split_inclusive('\n'));
    let most = old.len().min(new.len()) - first;
    let last = common(&mut text.split_inclusive('\n').rev(), &mut set.split_inclusive('\n').rev()).min(most);
    let bytes = |lines: &[usize], count: usize| lines.iter().take(count).sum::<usize>();
    let of_old = bytes(&old, first)..bytes(&old, old.len() - last);
    let of_new = bytes(&new, first)..bytes(&new, new.len() - last);
    let new_text = set.get(of_new).unwrap_or_default().to_owned();
    Ok(json!([TextEdit { range: server.lines(text).range(of_old), new_text }]))
}
