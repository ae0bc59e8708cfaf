-- Neovim with the language server, as a picture of it wants it: a file, coloured as site/editors.md says, at a line, with the finding
-- there told in full. Every colour that can be seen is set here, since those that come with Neovim differ between its versions.
-- From the environment: PICTURE_SERVER (the program), PICTURE_FILE, PICTURE_SYNTAX (the lines of the page), PICTURE_LINE (a piece of the line).
-- Newer versions have other names for some of these, and would say so on the screen.
vim.deprecate = function() end
vim.o.termguicolors = false
vim.o.laststatus, vim.o.showmode, vim.o.ruler, vim.o.showcmd, vim.o.number, vim.o.wrap = 0, false, false, false, true, false
vim.o.signcolumn, vim.o.fillchars, vim.o.shortmess = 'no', 'eob: ', vim.o.shortmess .. 'FI'
vim.cmd('edit ' .. vim.fn.fnameescape(vim.env.PICTURE_FILE))
vim.cmd('syntax clear | source ' .. vim.fn.fnameescape(vim.env.PICTURE_SYNTAX))
vim.cmd('highlight clear')
local colours = { Comment = 8, Special = 0, String = 2, Number = 5, Keyword = 4, Identifier = 6, LineNr = 8, DiagnosticError = 1, DiagnosticWarn = 3,
  DiagnosticVirtualTextError = 1, DiagnosticVirtualTextWarn = 3, DiagnosticFloatingError = 1, DiagnosticFloatingWarn = 3, FloatBorder = 8 }
for name, colour in pairs(colours) do
  vim.cmd(('highlight %s cterm=NONE ctermbg=NONE ctermfg=%s'):format(name, colour == 0 and 'NONE' or colour))
end
for _, name in ipairs({ 'Normal', 'NormalFloat', 'MsgArea', 'EndOfBuffer', 'Error', 'MatchParen' }) do vim.cmd('highlight! ' .. name .. ' cterm=NONE ctermbg=NONE ctermfg=NONE') end
vim.cmd('highlight DiagnosticUnderlineError cterm=underline ctermfg=NONE ctermbg=NONE')
vim.cmd('highlight! CursorLineNr cterm=NONE ctermfg=8 ctermbg=NONE')
-- A Normal without colours leaves the text of a message to the group of its severity.
vim.diagnostic.config({ virtual_text = false, signs = false, underline = true, update_in_insert = false })

local id = vim.lsp.start_client({ cmd = { vim.env.PICTURE_SERVER, 'server' }, name = 'fitwright', root_dir = vim.fn.fnamemodify(vim.env.PICTURE_FILE, ':h'),
  get_language_id = function() return 'fitwright' end })
local client = vim.lsp.get_client_by_id(id)
vim.wait(20000, function() return client.initialized end, 20)
-- Colours by meaning and what newer versions do by themselves are left out: each version draws them otherwise.
client.server_capabilities.semanticTokensProvider = nil
vim.lsp.buf_attach_client(0, id)
vim.wait(60000, function() return #vim.diagnostic.get(0) > 0 end, 20)
vim.wait(3000, function() return false end, 50)
local line = vim.fn.search(vim.env.PICTURE_LINE, 'w')
vim.cmd('normal! zt')
vim.cmd('execute "normal! 3\\<C-y>"')
local found = vim.diagnostic.get(0)[1]
vim.api.nvim_win_set_cursor(0, { found.lnum + 1, found.col })
local text = {}
for _, part in ipairs(vim.split('error ' .. found.code .. ': ' .. found.message, '\n')) do
  while vim.fn.strdisplaywidth(part) > 84 do
    local at = 84
    while part:sub(at, at) ~= ' ' do at = at - 1 end
    text[#text + 1] = part:sub(1, at - 1)
    part = '  ' .. part:sub(at + 1)
  end
  text[#text + 1] = part
end
local buffer = vim.api.nvim_create_buf(false, true)
vim.api.nvim_buf_set_lines(buffer, 0, -1, false, text)
vim.api.nvim_buf_add_highlight(buffer, -1, 'DiagnosticFloatingError', 0, 0, -1)
vim.api.nvim_open_win(buffer, false, { relative = 'cursor', row = 1, col = 2, width = 86, height = #text, style = 'minimal', border = 'rounded', focusable = false })
vim.cmd('redraw')
