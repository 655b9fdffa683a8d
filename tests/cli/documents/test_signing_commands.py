"""Keys, signing, verifying and importing as a script does them; no passphrase is ever an argument."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import click
import pikepdf
import pytest

from commission_tui.cli import root, run
from commission_tui.handover import export_process
from commission_tui.handover.record import RECORD_NAME
from commission_tui.logbook.logbook import Logbook
from commission_tui.subprocess_job import Files, Step, SubprocessJob
from tests.cli.helping import Cli
from tests.handover.helping import pdf_text, squeezed
from tests.handover.signing_help import A_SMALL_WALL, TWO_CHECKS

SECRET = "lamps and ladders"  # noqa: S105 (of an invented key)


@pytest.fixture(autouse=True, scope="module")
def _exports_are_made_in_this_process() -> Iterator[None]:
    """Make documents here: a process of its own gives the same bytes, see `test_export_process`."""

    def run(work: SubprocessJob, on_step: Callable[[Step], None], _error: object) -> Files:
        _, request = work._asked
        return export_process.export(request, lambda *step: on_step(Step(*step)))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(SubprocessJob, "run", run)
        yield


@pytest.fixture
def cli(cli: Cli, monkeypatch: pytest.MonkeyPatch) -> Cli:
    """Run a command that finds the passphrase in its environment and never says it."""
    monkeypatch.setenv("COMMISSION_TUI_PASSPHRASE", SECRET)

    def call(*arguments: object, database: str = "logbook.db") -> tuple[int, str, str]:
        status, out, err = cli(*arguments, database=database)
        assert SECRET not in out + err
        return status, out, err

    return call


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a logbook of few checks, its document and a key, made once for all."""
    folder = tmp_path_factory.mktemp("made")
    book = Logbook(folder / "logbook.db")
    book.create(
        by="A. Technician",
        name="Hall",
        client="Council",
        integrator="Firm",
        reference="H-1",
        wall_text=A_SMALL_WALL,
        checklist_files=TWO_CHECKS,
    )
    book.close()
    whose = ["--database", str(folder / "logbook.db"), "--as", "A. Technician"]
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COMMISSION_TUI_PASSPHRASE", SECRET)
        for words in (
            ["log", "note", "Hall", "House dark."],
            ["export", "Hall", "-o", str(folder)],
            ["key", "new", "--name", "Ines Okafor", "-o", str(folder / "keys" / "ines.p12")],
        ):
            assert run([*whose, *words]) == 0
    return folder


@pytest.fixture
def document(made: Path, tmp_path: Path) -> Path:
    for name in ("logbook.db", "logbook.db.exports"):
        shutil.copy(made / name, tmp_path)
    return Path(shutil.copy(made / "hall.pdf", tmp_path))


@pytest.fixture
def key(made: Path, tmp_path: Path) -> Path:
    return shutil.copytree(made / "keys", tmp_path / "keys") / "ines.p12"


def signed_by(cli: Cli, document: Path, key: Path, *more: object) -> tuple[int, str, str]:
    return cli(
        *("sign", document, "--key", key, "--role", "integrator", "--name", "Ines Okafor"),
        *("--confirm", *more),
    )


def as_json(result: tuple[int, str, str]) -> Any:
    return json.loads(result[1])


def test_a_document_goes_from_export_to_two_signatures_to_another_machine(
    cli: Cli, document: Path, key: Path, tmp_path: Path
) -> None:
    client = tmp_path / "client.p12"
    made = cli("key", "new", "--name", "Marit Hollis", "--kind", "rsa", "-o", client)
    assert (made[0], "SHA-256" in made[1]) == (0, True)
    words = ("sign", document, "--key", client, "--role", "client", "--name", "Marit Hollis")
    status, _, err = cli(*words, "--job", "Hall", "--confirm")
    assert status == 4
    assert "that the client has not taken" in err
    taken_all = ("--take", "all: The firm; 2099-12-01; M. H.")
    assert cli("accept", "Hall", "--name", "Marit Hollis", *taken_all)[0] == 0
    assert cli("export", "Hall", "-o", document.parent)[0] == 0
    assert signed_by(cli, document, key, "--job", "Hall")[0] == 0
    assert cli(*words, "--job", "Hall")[0] == 0
    status, out, _ = cli("verify", document)
    assert status == 0, out
    assert out.splitlines()[0] == "document H-1/1"
    assert out.splitlines()[-1].startswith("holds: intact and signed with a key; nobody vouches")
    assert out.count("signature Signature") == 2
    assert "holds: logbook:" in out
    taken = as_json(cli("import", document, "--json", database="other.db"))
    assert (taken["name"], taken["known"]) == ("Hall", 0)
    again = as_json(cli("import", document, "--json", database="other.db"))
    assert (again["added"], again["known"]) == (0, taken["added"])
    shown = as_json(cli("job", "show", "Hall", "--json", database="other.db"))
    assert shown["name"] == "Hall"


def test_a_key_under_a_refusal_says_that_it_was_refused_and_why(
    cli: Cli, document: Path, key: Path
) -> None:
    """It read as refused on the pages and as accepted under the key, and the reason was lost."""
    assert cli("accept", "Hall", "--name", "Ines Okafor", "--refuse", "too dark")[0] == 0
    assert cli("export", "Hall", "-o", document.parent)[0] == 0
    words = ("sign", document, "--key", key, "--role", "client", "--name", "Ines Okafor")
    assert cli(*words, "--job", "Hall")[0] == 0
    assert signed_by(cli, document, key)[0] == 0
    client, integrator = as_json(cli("verify", document, "--json"))["signatures"]
    assert client["reason"] == "client: too dark. Refused. Exceptions listed: 2."
    assert integrator["reason"] == (
        "integrator: Seen as described in this document. Refused by the client. Exceptions listed: 2."
    )
    pages = squeezed(pdf_text(document.read_bytes(), document.parent))
    assert squeezed("Exceptions accepted") not in pages
    assert squeezed("the wall is taken as it is described") not in pages
    assert squeezed("his signature here says so, and takes nothing") in pages
    with closing(Logbook(document.parent / "logbook.db")) as book:
        stands = book.open(book.jobs()[0].id, "A. Technician").acceptance()
    assert stands.statement == "Ines Okafor refused it for the client: too dark"


def test_verify_says_all_as_json(cli: Cli, document: Path, key: Path) -> None:
    signed_by(cli, document, key)
    found = as_json(cli("verify", document, "--trust", key.with_suffix(".crt"), "--json"))
    assert found["holds"] is True
    assert found["kind"] == "document"
    assert found["document"] == "H-1/1"
    (signature,) = found["signatures"]
    assert signature["trusted"] is True
    assert signature["covers"] == "the whole file"
    assert {one["what"] for one in found["findings"]} >= {
        "record",
        "fingerprint",
        "chain",
        "logbook",
    }


def test_of_a_file_of_another_kind_nobody_is_told_that_it_was_changed(
    cli: Cli, tmp_path: Path
) -> None:
    table, bill, settings = (tmp_path / name for name in ("readings.csv", "bill.pdf", "other.json"))
    table.write_text("place,value\nR1C1,600\n")
    settings.write_text('{"colour": "red"}')
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.attachments["note.txt"] = b"thank you"
        pdf.save(bill)
    for other in (table, bill, settings):
        status, out, _ = cli("verify", other)
        assert status == 4
        words = "his is no document and no record of this program, or only a part of one"
        assert out.splitlines()[0] == f"T{words}."
        assert out.splitlines()[-1].startswith(f"cannot be verified: t{words}; ")
        assert "changed" not in out


@pytest.mark.parametrize("left", ["note", "subject", "signature"])
def test_a_document_of_ours_without_its_record_was_changed(
    cli: Cli, document: Path, key: Path, left: str
) -> None:
    if left == "signature":
        signed_by(cli, document, key)
    with pikepdf.open(document, allow_overwriting_input=True) as pdf:
        for name in [*pdf.attachments]:
            if left != "note" or name == RECORD_NAME:
                del pdf.attachments[name]
        if left != "subject":
            del pdf.Root.Metadata, pdf.docinfo["/Subject"]
        pdf.save(document)
    status, out, _ = cli("verify", document)
    assert status == 1
    assert out.splitlines()[0] == "This file was changed, or damaged, after it was made."


def test_a_changed_document_is_exit_status_1_and_names_what(
    cli: Cli, document: Path, key: Path
) -> None:
    signed_by(cli, document, key)
    content = bytearray(document.read_bytes())
    content[len(content) // 2] ^= 1
    document.write_bytes(content)
    status, out, _ = cli("verify", document)
    assert status == 1
    assert out.splitlines()[0] == "This file was changed, or damaged, after it was made."
    assert out.splitlines()[-1].startswith("does not hold: this file was changed")
    assert "FAILS: " in out
    assert cli("import", document, database="other.db")[0] == 4
    assert signed_by(cli, document, key)[0] == 4


def test_a_logbook_that_differs_is_exit_status_1(cli: Cli, document: Path, tmp_path: Path) -> None:
    status, out, _ = cli("verify", document, "--against", tmp_path / "logbook.db")
    assert (status, "holds: logbook:" in out) == (5, True)
    assert cli("import", document, database="other.db")[0] == 0
    assert cli("log", "note", "Hall", "more")[0] == 0
    assert cli("export", "Hall", "-o", document.parent)[0] == 0
    status, out, _ = cli("verify", document, database="other.db")
    assert status == 1
    assert "lacks entry" in out


def test_the_logbook_of_the_environment_is_not_compared(
    cli: Cli,
    document: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """It may hold other jobs only: a document is verified on a machine that never saw its job."""
    Logbook(tmp_path / "other.db").close()
    monkeypatch.setenv("COMMISSION_TUI_DATABASE", str(tmp_path / "other.db"))
    assert run(["verify", str(document)]) == 5
    assert "logbook" not in capsys.readouterr().out
    status, out, err = cli("verify", document, database="other.db")
    assert (status, out) == (3, ""), "a sound document is not called changed"
    assert "other.db: found no job" in err


def test_a_logbook_that_is_not_there_is_said_and_nothing_of_the_document(
    cli: Cli, document: Path, tmp_path: Path
) -> None:
    status, out, err = cli("verify", document, database="nowhere.db")
    assert (status, out) == (3, "")
    assert "nowhere.db: there is no such file, expected a logbook" in err
    assert not (tmp_path / "nowhere.db").exists()


def test_a_logbook_itself_is_verified(cli: Cli, document: Path, tmp_path: Path) -> None:
    status, out, _ = cli("verify", tmp_path / "logbook.db")
    assert (status, out.splitlines()[-1]) == (0, "holds")


def test_what_was_signed_is_frozen(cli: Cli, document: Path, key: Path) -> None:
    assert signed_by(cli, document, key, "--job", "Hall")[0] == 0
    assert cli("log", "note", "Hall", "found later")[0] == 0
    status, _, err = signed_by(cli, document, key, "--job", "Hall")
    assert status == 0, "the next signs the file that was signed"
    assert "it is of the state before what was logged since: a supplement has that" in err
    signed = document.read_bytes()
    written = cli("export", "Hall", "--format", "pdf", "--format", "csv", "-o", document.parent)
    supplement = document.with_name("hall-supplement-1.pdf")
    assert written[:2] == (
        0,
        f"{supplement}\n"
        + "".join(
            f"{document.with_name('hall-supplement-1')}-{table}.csv\n"
            for table in ("readings", "verdicts", "faults", "instruments", "corrections")
        ),
    )
    assert "document H-1/2, supplement to H-1/1 (SHA-256" in cli("verify", supplement)[1]
    assert document.read_bytes() == signed
    assert cli("verify", document)[1].splitlines()[-1].startswith("holds: intact and signed")


@pytest.mark.parametrize("logged", [["--job", "Hall"], []])
def test_a_signed_file_is_never_written_over(
    cli: Cli, document: Path, key: Path, logged: list[str]
) -> None:
    """Whether the logbook knows of the signature, or it was put there with the file alone."""
    assert signed_by(cli, document, key, *logged)[0] == 0
    signed = document.read_bytes()
    status, out, err = cli(
        "export", "Hall", "--format", "csv", "--format", "pdf", "-o", document.parent
    )
    assert (status, out, document.read_bytes()) == (4, "", signed)
    said = f"{document}: bears signatures and stays; nothing written: take another folder"
    assert err.splitlines()[-1].endswith(f"{said}, or move it away first")
    assert list(document.parent.glob("*.csv")) == []
    assert cli("export", "Hall", "--format", "csv", "-o", document.parent)[0] == 0
    assert cli("export", "Hall", "-o", document.parent / "other")[0] == 0


def test_a_file_that_somebody_changed_is_not_written_over(cli: Cli, document: Path) -> None:
    for _ in range(2):  # what it wrote itself it writes anew
        assert cli("export", "Hall", "--format", "csv", "-o", document.parent)[0] == 0
    edited = document.with_name("hall-readings.csv")
    edited.write_bytes(edited.read_bytes() + b"mine,too\n")
    before = {path: path.read_bytes() for path in document.parent.glob("hall*")}
    assert cli("log", "note", "Hall", "more")[0] == 0
    status, out, err = cli(
        "export", "Hall", "--format", "pdf", "--format", "csv", "-o", document.parent
    )
    assert (status, out) == (4, "")
    assert f"{edited}: not as this logbook wrote it, and stays; nothing written" in err
    assert {path: path.read_bytes() for path in document.parent.glob("hall*")} == before


def test_a_signature_is_not_put_over_another_file(
    cli: Cli, document: Path, key: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other.pdf"
    other.write_bytes(b"mine")
    status, _, err = signed_by(cli, document, key, "-o", other)
    assert (status, other.read_bytes()) == (4, b"mine")
    assert f"{other}: there is a file already; nothing was written: give another name" in err


def test_signing_in_another_name_is_asked_for(cli: Cli, document: Path, key: Path) -> None:
    before = document.read_bytes()
    words = ("sign", document, "--key", key, "--role", "witness", "--name", "Marit Hollis")
    status, _, err = cli(*words)
    assert (status, document.read_bytes()) == (2, before)
    assert "found 'Marit Hollis', the key is 'Ines Okafor''s" in err
    assert cli(*words, "--for-another", "--confirm")[0] == 0
    out = cli("verify", document)[1]
    assert "it names 'Marit Hollis', its key is 'Ines Okafor''s" in out


def test_a_wrong_passphrase_is_one_line(
    cli: Cli, document: Path, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COMMISSION_TUI_PASSPHRASE", "something else")
    status, out, err = signed_by(cli, document, key)
    assert (status, out) == (4, "")
    assert "passphrase does not fit" in err
    assert len(err.splitlines()) == 1


def test_a_passphrase_comes_through_a_descriptor(
    cli: Cli, document: Path, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("COMMISSION_TUI_PASSPHRASE")
    reader, writer = os.pipe()
    os.write(writer, f"{SECRET}\n".encode())
    os.close(writer)
    assert signed_by(cli, document, key, "--passphrase-fd", reader)[0] == 0
    os.close(reader)
    status, _, err = signed_by(cli, document, key, "--passphrase-fd", reader)
    assert status == 2
    assert "found nothing to read" in err


def test_without_terminal_variable_and_descriptor_nothing_is_asked(
    cli: Cli, document: Path, key: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("COMMISSION_TUI_PASSPHRASE")
    status, _, err = signed_by(cli, document, key)
    assert status == 2
    assert "found no terminal to ask at" in err


def test_no_option_takes_a_passphrase_itself() -> None:
    context = click.Context(root)
    for name in ("key", "sign"):
        command = root.get_command(context, name)
        assert command is not None
        if isinstance(command, click.Group):
            command = command.get_command(context, "new")
        assert command is not None
        options = [option for item in command.params for option in item.opts]
        assert [word for word in options if "pass" in word] == ["--passphrase-fd"]


def test_a_key_that_others_may_read_is_told(cli: Cli, document: Path, key: Path) -> None:
    key.chmod(0o644)
    status, _, err = signed_by(cli, document, key)
    assert status == 0
    assert "others than its owner may read it" in err
    assert "hall.pdf: a draft" in err


def test_a_draft_is_signed_only_when_that_is_meant_and_the_signature_says_what_it_is(
    cli: Cli, document: Path, key: Path, tmp_path: Path
) -> None:
    before = document.read_bytes()
    words = ("sign", document, "--key", key, "--role", "integrator", "--name", "Ines Okafor")
    status, _, err = cli(*words, "--job", "Hall")
    assert (status, document.read_bytes()) == (2, before)
    assert "hall.pdf: a draft" in err
    assert "--confirm" in err
    assert cli(*words, "--job", "Hall", "--confirm")[0] == 0
    (signature,) = as_json(cli("verify", document, "--json"))["signatures"]
    assert "A draft. Exceptions listed: 2." in signature["reason"]
    assert "accepted" not in signature["reason"]
    assert cli("log", "note", "Hall", "Later.")[0] == 0
    assert cli("export", "Hall", "-o", tmp_path)[0] == 0
    out = cli("verify", tmp_path / "hall-supplement-1.pdf")[1]
    assert "signed with a key, Ines Okafor (integrator)" in out
    assert "signed by name" not in out


def test_the_signed_file_may_go_elsewhere(
    cli: Cli, document: Path, key: Path, tmp_path: Path
) -> None:
    before = document.read_bytes()
    target = tmp_path / "signed.pdf"
    assert signed_by(cli, document, key, "-o", target)[1] == f"{target}\n"
    assert document.read_bytes() == before
    assert target.read_bytes().startswith(before)


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("verify", "missing.pdf"), 4, "cannot be read"),
        (("import", "missing.pdf"), 4, "cannot be read"),
        (("key", "new", "--name", " "), 2, "expected who signs"),
        (("sign", "missing.pdf", "--key", "x", "--role", "r", "--name", "n"), 4, "cannot be read"),
    ],
)
def test_bad_input_is_one_line(
    cli: Cli,
    words: tuple[str, ...],
    status: int,
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    found, out, err = cli(*words)
    assert (found, out) == (status, "")
    assert said in err
    assert len(err.splitlines()) == 1


def test_a_key_goes_into_a_folder_of_the_users_own(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    made = as_json(cli("key", "new", "--name", "Ines Okafor", "--json"))
    path = Path(made["key"])
    assert path.is_relative_to(tmp_path / "data")
    assert path.parent.stat().st_mode & 0o777 == 0o700
    assert path.stat().st_mode & 0o777 == 0o600
