-- Neovim as a writer uses it, without a screen: it starts the server, opens a procedure, types, completes, renames, sets the
-- text in its form, makes a repair. Each thing is looked at in Neovim's own buffers and lists, not on the wire.
-- From the environment: EDITOR_SERVER (the program), EDITOR_FILE (a copy of a procedure that may be written over), EDITOR_SAID
-- (where to write what went wrong).
local said = {}
local function wrong(text) said[#said + 1] = text end
local function finish()
  local file = io.open(vim.env.EDITOR_SAID, 'w')
  file:write(table.concat(said, '\n'))
  file:close()
  vim.cmd('qall!')
end

local function run()
  vim.cmd('edit ' .. vim.fn.fnameescape(vim.env.EDITOR_FILE))
  local buffer = vim.api.nvim_get_current_buf()
  local gone
  local id = vim.lsp.start_client({
    cmd = { vim.env.EDITOR_SERVER, 'server' },
    name = 'fitwright',
    root_dir = vim.fn.fnamemodify(vim.env.EDITOR_FILE, ':h'),
    get_language_id = function() return 'fitwright' end,
    on_exit = function(code) gone = code end,
  })
  local client = vim.lsp.get_client_by_id(id)
  assert(vim.wait(20000, function() return client.initialized end, 20), 'the server did not answer')
  vim.lsp.buf_attach_client(buffer, id)

  local function lines() return vim.api.nvim_buf_get_lines(buffer, 0, -1, false) end
  local function text() return table.concat(lines(), '\n') end
  -- Where a piece of the text stands: line from 0, byte from 0.
  local function place(piece)
    for at, line in ipairs(lines()) do
      local from = line:find(piece, 1, true)
      if from then return at - 1, from - 1 end
    end
    error('not in the text: ' .. piece)
  end
  local function codes()
    local found = {}
    for _, one in ipairs(vim.diagnostic.get(buffer)) do found[#found + 1] = one.code .. '@' .. one.lnum .. ':' .. one.col end
    table.sort(found)
    return table.concat(found, ' ')
  end
  local function comes_to(what, wanted)
    if not vim.wait(20000, function() return wanted(codes()) end, 20) then wrong(what .. ': the findings are "' .. codes() .. '"') end
  end
  local function replace(piece, new)
    local line, from = place(piece)
    vim.api.nvim_buf_set_text(buffer, line, from, line, from + #piece, { new })
  end
  local function ask(method, more)
    local params = vim.tbl_extend('force', vim.lsp.util.make_position_params(0, client.offset_encoding), more or {})
    local answers = vim.lsp.buf_request_sync(buffer, method, params, 20000) or {}
    local answer = answers[id] or {}
    return answer.result, answer.error
  end
  local function go(piece, into)
    local line, from = place(piece)
    vim.api.nvim_win_set_cursor(0, { line + 1, from + (into or 0) })
  end

  -- A clean procedure has nothing to tell; a name misspelt behind characters of several widths is told at its letters.
  vim.wait(3000, function() return codes() ~= '' end, 50)
  if codes() ~= '' then wrong('a clean procedure: ' .. codes()) end
  replace('> Set one [rail-bracket] over', '> Set one, Ø12 ±0,5 µm 🔩, [rail-brackett] over')
  local line, from = place('[rail-brackett]')
  comes_to('misspelt', function(found) return found == 'FW0201@' .. line .. ':' .. from end)
  -- Neovim tells the server of what is typed behind those characters; what comes back must be of the text as it stands.
  replace('[rail-brackett] over', '[rail-bracket] over')
  comes_to('put right', function(found) return not found:find('FW0201') end)
  replace('> Set one, Ø12 ±0,5 µm 🔩, [rail-bracket] over', '> Set one [rail-bracket] over')
  comes_to('as it was', function(found) return found == '' end)

  -- Completion writes what it shows.
  go('tighten bracket-joint with')
  local row = vim.api.nvim_win_get_cursor(0)[1]
  vim.api.nvim_buf_set_lines(buffer, row - 1, row - 1, false, { '    snug bracket-joint with span' })
  vim.api.nvim_win_set_cursor(0, { row, #'    snug bracket-joint with span' - 1 })
  local params = vim.lsp.util.make_position_params(0, client.offset_encoding)
  params.position.character = #'    snug bracket-joint with span'
  local list = (vim.lsp.buf_request_sync(buffer, 'textDocument/completion', params, 20000) or {})[id].result
  table.sort(list.items, function(a, b) return a.sortText < b.sortText end)
  if list.items[1].label ~= 'spanner-13' then wrong('completion begins with ' .. list.items[1].label) end
  vim.lsp.util.apply_text_edits({ list.items[1].textEdit }, buffer, client.offset_encoding)
  if not text():find('    snug bracket-joint with spanner-13\n', 1, true) then wrong('completion wrote: ' .. lines()[row]) end
  vim.api.nvim_buf_set_lines(buffer, row - 1, row, false, {})

  go('tighten bracket-joint', 10)
  local hover = ask('textDocument/hover')
  if not hover or not hover.contents.value:find('Rail bracket to roof rail', 1, true) then wrong('hover tells nothing of the joint') end
  local there = ask('textDocument/definition')
  if not there or there.range.start.line ~= place('joint bracket-joint') then wrong('the definition is elsewhere') end

  -- A name everywhere, and refused where another thing has it.
  local edit = ask('textDocument/rename', { newName = 'rail-joint' })
  vim.lsp.util.apply_workspace_edit(edit, client.offset_encoding)
  if text():find('bracket-joint', 1, true) then wrong('the old name is left') end
  comes_to('renamed', function(found) return found == '' end)
  local _, refusal = ask('textDocument/rename', { newName = 'arm-joint' })
  if not refusal or not refusal.message:find('twice', 1, true) then wrong('a name that is taken is not refused') end

  -- The one form: blanks that have no meaning go, and nothing else.
  local before = text()
  replace('    tighten rail-joint with', '  tighten   rail-joint    with')
  local set = ask('textDocument/formatting', { options = { tabSize = 2, insertSpaces = true } })
  vim.lsp.util.apply_text_edits(set, buffer, client.offset_encoding)
  if text() ~= before then wrong('the text is not set in its form') end

  -- A repair.
  replace('read   rail-width', 'read   rail-widht')
  local at = place('read   rail-widht')
  comes_to('misspelt reading', function(found) return found:find('FW0201@' .. at, 1, true) end)
  vim.api.nvim_win_set_cursor(0, { at + 1, 14 })
  local asked = vim.lsp.util.make_range_params(0, client.offset_encoding)
  asked.context = { diagnostics = {} }
  local actions = (vim.lsp.buf_request_sync(buffer, 'textDocument/codeAction', asked, 20000) or {})[id].result
  if not actions or #actions == 0 then
    wrong('no repair is offered')
  else
    vim.lsp.util.apply_workspace_edit(actions[1].edit, client.offset_encoding)
    if text():find('widht', 1, true) then wrong('the repair does not repair') end
    comes_to('repaired', function(found) return found == '' end)
  end

  vim.lsp.stop_client(id)
  if not vim.wait(10000, function() return gone ~= nil end, 20) or gone ~= 0 then wrong('the server ended with ' .. tostring(gone)) end
end

local fine, fault = pcall(run)
if not fine then wrong(tostring(fault)) end
finish()
