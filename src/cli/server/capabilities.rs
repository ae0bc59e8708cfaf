//! What the editor can do, and what we can.

use std::path::PathBuf;

use lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CompletionOptions, FoldingRangeProviderCapability,
    HoverProviderCapability, InitializeParams, OneOf, RenameOptions, SaveOptions, SemanticTokenModifier,
    SemanticTokenType, SemanticTokensFullOptions, SemanticTokensLegend, SemanticTokensOptions, ServerCapabilities,
    TextDocumentSyncCapability, TextDocumentSyncKind, TextDocumentSyncOptions, TextDocumentSyncSaveOptions, Uri,
};
use serde_json::{Value, json};

use super::positions::Encoding;
use super::texts;
use crate::desk::Shade;

/// What is known of the editor.
pub struct Client {
    /// In what it counts within a line.
    pub encoding: Encoding,
    /// The project's folder, where it names one: `initializationOptions.project`.
    pub root: Option<PathBuf>,
    /// The folders that it has open.
    pub folders: Vec<PathBuf>,
    /// The same, with what it calls them.
    pub names: Vec<(PathBuf, String)>,
    /// Whether it shows places that belong to a finding beside its own.
    pub says_more: bool,
    /// Whether it shows that something is running.
    pub shows_progress: bool,
    /// Whether it tells of files that change, when asked.
    pub watches: bool,
}

impl Default for Client {
    fn default() -> Self {
        Client {
            encoding: Encoding::Utf16,
            root: None,
            folders: Vec::new(),
            names: Vec::new(),
            says_more: false,
            shows_progress: false,
            watches: false,
        }
    }
}

impl Client {
    /// Of what it says at the beginning. What can't be read of it is taken as not there.
    pub fn of(params: &Value) -> Client {
        let said: Option<InitializeParams> = serde_json::from_value(params.clone()).ok();
        let can = |pointer: &str| params.pointer(pointer).and_then(Value::as_bool).unwrap_or(false);
        let general = said.as_ref().and_then(|said| said.capabilities.general.as_ref());
        let encoding = Encoding::agreed(general.and_then(|general| general.position_encodings.as_deref()));
        let named = said.iter().flat_map(|said| said.workspace_folders.iter().flatten());
        let with_name = |uri: &Uri| Some((texts::path_of(uri)?, uri.as_str().to_owned()));
        let mut names: Vec<(PathBuf, String)> = named.filter_map(|folder| with_name(&folder.uri)).collect();
        if names.is_empty() {
            #[allow(deprecated, reason = "older editors name their folder so")]
            names.extend(said.as_ref().and_then(|said| with_name(said.root_uri.as_ref()?)));
        }
        let folders: Vec<PathBuf> = names.iter().map(|(folder, _)| folder.clone()).collect();
        let project = params.pointer("/initializationOptions/project").and_then(Value::as_str);
        // A relative one is within the first folder.
        let root = project.map(|project| match folders.first() {
            Some(folder) => texts::followed(&folder.join(project)),
            None => texts::followed(project.as_ref()),
        });
        Client {
            encoding,
            root,
            folders,
            names,
            says_more: can("/capabilities/textDocument/publishDiagnostics/relatedInformation"),
            shows_progress: can("/capabilities/window/workDoneProgress"),
            watches: can("/capabilities/workspace/didChangeWatchedFiles/dynamicRegistration"),
        }
    }
}

/// What we say at the beginning.
pub fn ours(client: &Client) -> Value {
    let sync = TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::FULL),
        save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions { include_text: Some(false) })),
        ..TextDocumentSyncOptions::default()
    };
    let capabilities = ServerCapabilities {
        position_encoding: Some(client.encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some(vec!["[".into(), "/".into(), " ".into()]),
            ..CompletionOptions::default()
        }),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        document_highlight_provider: Some(OneOf::Left(true)),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        document_link_provider: Some(lsp_types::DocumentLinkOptions {
            resolve_provider: Some(false),
            work_done_progress_options: lsp_types::WorkDoneProgressOptions::default(),
        }),
        rename_provider: Some(OneOf::Right(RenameOptions {
            prepare_provider: Some(true),
            work_done_progress_options: lsp_types::WorkDoneProgressOptions::default(),
        })),
        code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
            code_action_kinds: Some(vec![CodeActionKind::QUICKFIX, CodeActionKind::SOURCE_FIX_ALL]),
            ..CodeActionOptions::default()
        })),
        inlay_hint_provider: Some(OneOf::Left(true)),
        document_formatting_provider: Some(OneOf::Left(true)),
        semantic_tokens_provider: Some(
            SemanticTokensOptions {
                legend: SemanticTokensLegend {
                    token_types: TOKENS.to_vec(),
                    token_modifiers: vec![SemanticTokenModifier::DECLARATION],
                },
                full: Some(SemanticTokensFullOptions::Bool(true)),
                ..SemanticTokensOptions::default()
            }
            .into(),
        ),
        ..ServerCapabilities::default()
    };
    json!({
        "capabilities": capabilities,
        "serverInfo": {"name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION")},
    })
}

/// The sorts of pieces of a text, all from the protocol's own list, so that every theme has a colour for them.
const TOKENS: [SemanticTokenType; 13] = [
    SemanticTokenType::KEYWORD,
    SemanticTokenType::VARIABLE,
    SemanticTokenType::CLASS,
    SemanticTokenType::PROPERTY,
    SemanticTokenType::STRUCT,
    SemanticTokenType::FUNCTION,
    SemanticTokenType::PARAMETER,
    SemanticTokenType::ENUM_MEMBER,
    SemanticTokenType::STRING,
    SemanticTokenType::NUMBER,
    SemanticTokenType::TYPE,
    SemanticTokenType::OPERATOR,
    SemanticTokenType::COMMENT,
];

/// The number of a piece's sort in [`TOKENS`], and its modifiers.
pub fn token(shade: Shade) -> (u32, u32) {
    match shade {
        Shade::Keyword => (0, 0),
        Shade::Declared => (1, 1),
        Shade::Name => (1, 0),
        Shade::Tool => (2, 0),
        Shade::Part => (3, 0),
        Shade::Connection => (4, 0),
        Shade::Step => (5, 0),
        Shade::Input => (6, 0),
        Shade::Member => (7, 0),
        Shade::Text => (8, 0),
        Shade::Number => (9, 0),
        Shade::Unit => (10, 0),
        Shade::Sign => (11, 0),
        Shade::Comment => (12, 0),
    }
}
