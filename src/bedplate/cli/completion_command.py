"""``bedplate completion``: the shell's own function for the Tab key, printed to be kept."""

from __future__ import annotations

from typing import Annotated

import typer

from bedplate.cli import context
from bedplate.cli.completion import VARIABLE
from bedplate.errors import NotUnderstoodError
from bedplate.text import listed, quoted

BASH = r"""_bedplate_complete() {
    local line="${COMP_LINE:0:COMP_POINT}" cur pre
    cur="${line##* }"                                   # the word as the user sees it
    pre="${cur%"${cur##*[:=]}"}"                        # what readline already holds in front
    [[ "${cur#"$pre"}" == *@* ]] && pre="${cur%@*}"     # '@' itself stays part of the word
    local IFS=$'\n'
    COMPREPLY=( $(_TYPER_COMPLETE_ARGS="$line" _TYPER_COMPLETE_FISH_ACTION=get-args \
        _BEDPLATE_COMPLETE=complete_fish "$1" 2>/dev/null | cut -f1) )
    COMPREPLY=( "${COMPREPLY[@]#"$pre"}" )
    COMPREPLY=( "${COMPREPLY[@]// /\\ }" )
    [[ ${#COMPREPLY[@]} -eq 1 && "${COMPREPLY[0]}" == *[@.=] ]] && compopt -o nospace
}
complete -o default -F _bedplate_complete bedplate"""
"""Ours: typer's own is not called at all for a word with an ``@`` in it (readline parts it)."""

ZSH = r"""_bedplate_complete() {
    local -a found open whole
    found=("${(@f)$(_TYPER_COMPLETE_ARGS="${(j: :)words[1,CURRENT]}" \
        _TYPER_COMPLETE_FISH_ACTION=get-args _BEDPLATE_COMPLETE=complete_fish \
        "${words[1]}" 2>/dev/null)}")
    found=("${(@)found%%$'\t'*}")
    open=(${(M)found:#*[@.=]})                           # more is to be typed behind these
    whole=(${found:#*[@.=]})
    (( ${#open} )) && compadd -S '' -- $open
    (( ${#whole} )) && compadd -- $whole
    (( ${#open} + ${#whole} )) || _files
}
compdef _bedplate_complete bedplate"""
"""Ours: typer's own puts a blank behind every word, also behind an address that goes on."""

POWERSHELL = """Register-ArgumentCompleter -Native -CommandName bedplate -ScriptBlock {
    param($wordToComplete, $commandAst, $cursorPosition)
    $Env:_BEDPLATE_COMPLETE = "complete_powershell"
    $Env:_TYPER_COMPLETE_ARGS = $commandAst.ToString()
    $Env:_TYPER_COMPLETE_WORD_TO_COMPLETE = $wordToComplete
    bedplate | ForEach-Object {
        $word = ($_ -Split ":::")[0]
        [System.Management.Automation.CompletionResult]::new($word, $word, 'ParameterValue', $word)
    }
    $Env:_BEDPLATE_COMPLETE = ""
    $Env:_TYPER_COMPLETE_ARGS = ""
    $Env:_TYPER_COMPLETE_WORD_TO_COMPLETE = ""
}"""
"""Ours: typer's own also rebinds the Tab key for every other program."""

WHERE = {
    "bash": "Keep it:  bedplate completion bash >> ~/.bashrc",
    "zsh": "Keep it:  bedplate completion zsh >> ~/.zshrc   (after compinit)",
    "fish": "Keep it:  bedplate completion fish > ~/.config/fish/completions/bedplate.fish",
    "powershell": "Keep it:  bedplate completion powershell >> $PROFILE",
}
"""The shells, and where each looks for its function."""


def _shells(incomplete: str) -> list[str]:
    return [shell for shell in WHERE if shell.startswith(incomplete)]


def completion(
    shell: Annotated[
        str,
        typer.Argument(
            metavar="SHELL", help=f"One of: {listed(list(WHERE))}.", autocompletion=_shells
        ),
    ],
) -> None:
    """Print what makes the Tab key complete, for your shell.

    Nothing is installed: the text goes where your shell looks for such things.
    """
    if shell not in WHERE:
        raise NotUnderstoodError(
            f"Nothing done. {quoted(shell)} is no shell this is written for.",
            f"There are: {listed(list(WHERE))}",
            f"Type:  bedplate completion {next(iter(WHERE))}",
        )
    screen = context.screen()
    for line in script(shell).split("\n"):
        screen.out(line)
    if screen.as_json:
        screen.json(context.document("completion") | {"shell": shell, "script": script(shell)})
    elif screen.terminal:
        screen.err(WHERE[shell])


def script(shell: str) -> str:
    """Return the function of one shell of `WHERE`."""
    if shell == "bash":
        return BASH
    if shell == "zsh":
        return ZSH
    if shell == "powershell":
        return POWERSHELL
    from typer._completion_shared import get_completion_script  # noqa: PLC0415

    return get_completion_script(prog_name="bedplate", complete_var=VARIABLE, shell=shell)
