"""Attacks on a document before anybody signs it: each changes an opened file in place."""

from __future__ import annotations

from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf, Stream, String

_PAINT = b"q 1 1 1 rg 60 300 400 200 re f Q BT ET"


def page_painted_over(pdf: Pdf) -> None:
    """A figure that the client is to sign reads better than it was measured."""
    pdf.pages[1].contents_add(_PAINT)


def page_painted_under(pdf: Pdf) -> None:
    """The same, from below: what stands on white is not seen to be changed."""
    pdf.pages[1].contents_add(_PAINT, prepend=True)


def one_word_of_a_page_moved(pdf: Pdf) -> None:
    """A limit stands beside another figure than the one it belongs to."""
    page = pdf.pages[1]
    content = page.Contents.read_bytes()
    at = content.index(b" Tm")
    page.Contents = Stream(pdf, content[:at].rpartition(b" ")[0] + b" 90" + content[at:])


def stamp_on_a_page(pdf: Pdf) -> None:
    """A stamp that says "accepted without exceptions"."""
    _annotation(pdf, Subtype=Name.Stamp, Name=Name.Approved)


def free_text_on_a_page(pdf: Pdf) -> None:
    """Words of the attacker's own in the client's copy."""
    _annotation(pdf, Subtype=Name.FreeText, Contents=String("no exceptions"), DA=String("/F 12 Tf"))


def ink_on_a_page(pdf: Pdf) -> None:
    """A drawn signature that nobody drew."""
    _annotation(pdf, Subtype=Name.Ink, InkList=Array([Array([100, 100, 200, 200])]))


def redaction_on_a_page(pdf: Pdf) -> None:
    """A black bar over a fault."""
    _annotation(pdf, Subtype=Name.Redact)


def link_to_the_web(pdf: Pdf) -> None:
    """Whoever clicks the document number reads the attacker's page."""
    _annotation(
        pdf, Subtype=Name.Link, A=Dictionary(S=Name.URI, URI=String("http://example.invalid"))
    )


def link_that_starts_a_program(pdf: Pdf) -> None:
    """A click runs something on the client's machine."""
    _annotation(pdf, Subtype=Name.Link, A=Dictionary(S=Name.Launch, F=String("calc")))


def link_with_a_look(pdf: Pdf) -> None:
    """A link that paints over the page where an appearance is shown."""
    look = Stream(pdf, _PAINT, Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 500, 800]))
    _annotation(pdf, Subtype=Name.Link, AP=Dictionary(N=pdf.make_indirect(look)))


def link_turned_elsewhere(pdf: Pdf) -> None:
    """The contents line "exceptions" leads to a page without any."""
    links = [one for page in pdf.pages for one in page.get("/Annots", [])]
    links[0].Dest = Array([pdf.pages[-1].obj, Name.Fit])


def film_on_a_page(pdf: Pdf) -> None:
    """Pictures that nobody took."""
    _annotation(pdf, Subtype=Name.Screen)


def file_pinned_to_a_page(pdf: Pdf) -> None:
    """A second record, where a reader shows it with a pin."""
    held = pdf.make_indirect(Stream(pdf, b"{}"))
    specification = Dictionary(Type=Name.Filespec, F=String("record.json"), EF=Dictionary(F=held))
    _annotation(pdf, Subtype=Name.FileAttachment, FS=specification)


def text_field_on_a_page(pdf: Pdf) -> None:
    """A field that is filled in after signing, which signatures allow."""
    field = _annotation(
        pdf, Subtype=Name.Widget, FT=Name.Tx, T=String("exceptions"), V=String("none")
    )
    pdf.Root.AcroForm = Dictionary(Fields=Array([field]))


def field_that_shows_a_signature(pdf: Pdf) -> None:
    """A frame that looks signed and is not."""
    look = Stream(pdf, _PAINT, Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 400, 90]))
    field = _annotation(
        pdf,
        -1,
        Subtype=Name.Widget,
        FT=Name.Sig,
        T=String("Signature9"),
        AP=Dictionary(N=pdf.make_indirect(look)),
    )
    pdf.Root.AcroForm = Dictionary(Fields=Array([field]), SigFlags=3)


def two_files_of_one_name(pdf: Pdf) -> None:
    """One reader takes out the record that was verified, another one a second."""
    names = _names(pdf)
    record = _specification(pdf, "record.json")
    other = _copy(pdf, record)
    other.EF = Dictionary(F=pdf.make_indirect(Stream(pdf, b"{}")))
    names.extend([String("record.json"), pdf.make_indirect(other)])


def another_name_in_unicode(pdf: Pdf) -> None:
    """The other record is called record.json only where a reader looks at /UF."""
    _specification(pdf, "record.json").UF = String("old.json")


def another_file_in_unicode(pdf: Pdf) -> None:
    """Readers that take /UF get another record than the one that was verified."""
    files = _specification(pdf, "record.json").EF
    files.UF = pdf.make_indirect(Stream(pdf, b"{}", Type=Name.EmbeddedFile))


def another_file_for_one_system(pdf: Pdf) -> None:
    """Readers on one system get another record."""
    files = _specification(pdf, "record.json").EF
    files.Mac = pdf.make_indirect(Stream(pdf, b"{}", Type=Name.EmbeddedFile))


def associated_files_other_than_the_named(pdf: Pdf) -> None:
    """Readers of PDF/A-3 take out another record than readers of the names tree."""
    other = _copy(pdf, _specification(pdf, "record.json"))
    other.EF = Dictionary(F=pdf.make_indirect(Stream(pdf, b"{}", Type=Name.EmbeddedFile)))
    pdf.Root.AF[0] = pdf.make_indirect(other)


def associated_file_of_a_page(pdf: Pdf) -> None:
    """A record that belongs to one page only."""
    other = _copy(pdf, _specification(pdf, "record.json"))
    pdf.pages[0].AF = Array([pdf.make_indirect(other)])


def file_that_no_entry_names(pdf: Pdf) -> None:
    """A certificate that was never part of the job travels with it."""
    pdf.attachments["certificate.pdf"] = b"%PDF-1.7"


def photo_of_another_place(pdf: Pdf) -> None:
    """The original behind a photo is another picture."""
    name = next(name for name in pdf.attachments if name.endswith(".png"))
    pdf.attachments[name] = b"another picture"


def picture_on_a_page_exchanged(pdf: Pdf) -> None:
    """The photo on the page shows a wall without the fault."""
    for page in pdf.pages:
        for form in page.get("/Resources", Dictionary()).get("/XObject", Dictionary()).values():
            _exchange_pictures(form, 0)


def fonts_of_a_page_exchanged(pdf: Pdf) -> None:
    """Every letter is drawn as another one, while the text that is searched stays."""
    fonts = pdf.pages[1].Resources.Font
    first, second, *_ = list(fonts.keys())
    fonts[first], fonts[second] = fonts[second], fonts[first]


def shapes_of_a_font_changed(pdf: Pdf) -> None:
    """A 3 is drawn as an 8."""
    for item in pdf.objects:
        if isinstance(item, Dictionary) and item.get("/Type") == Name.FontDescriptor:
            for key in ("/FontFile", "/FontFile2", "/FontFile3"):
                if key in item:
                    item[key].write(item[key].read_bytes()[:-1] + b"\1")
                    return


def text_behind_a_font_changed(pdf: Pdf) -> None:
    """What is copied or searched is not what is seen."""
    font = next(iter(pdf.pages[1].Resources.Font.values()))
    font.ToUnicode.write(font.ToUnicode.read_bytes().replace(b"<0030>", b"<0039>") + b"\n")


def page_left_out(pdf: Pdf) -> None:
    """The page with the exceptions is not there."""
    del pdf.pages[2]


def pages_in_another_order(pdf: Pdf) -> None:
    """The exceptions come where nobody looks."""
    pages = [pdf.pages[1], pdf.pages[2]]
    pdf.pages[1], pdf.pages[2] = pages[1], pages[0]


def page_added(pdf: Pdf) -> None:
    """A page of the attacker's own among those that are signed."""
    pdf.add_blank_page()


def page_turned(pdf: Pdf) -> None:
    """A page that stands on its head is not read."""
    pdf.pages[1].Rotate = 180


def page_cut_to_a_part(pdf: Pdf) -> None:
    """What is outside of the crop box is not seen."""
    pdf.pages[1].CropBox = Array([0, 400, 595, 842])


def pages_turned_from_above(pdf: Pdf) -> None:
    """No page says that it stands on its head: the tree of pages says it of all."""
    pdf.Root.Pages.Rotate = 180


def pages_cut_from_above(pdf: Pdf) -> None:
    """The same, for what of each page is seen."""
    pdf.Root.Pages.CropBox = Array([0, 400, 595, 842])


def page_that_hangs_elsewhere(pdf: Pdf) -> None:
    """Readers that look up from a page find another tree, which turns it."""
    page = pdf.pages[1].obj
    page.Parent = pdf.make_indirect(
        Dictionary(Type=Name.Pages, Kids=Array([page]), Count=1, Rotate=180)
    )


def page_of_another_size(pdf: Pdf) -> None:
    """What is beyond the paper is not printed."""
    pdf.pages[1].UserUnit = 2


def page_shown_for_a_moment(pdf: Pdf) -> None:
    """A page that goes by itself after a second."""
    pdf.pages[1].Dur = 1


def page_that_acts_when_it_opens(pdf: Pdf) -> None:
    """Opening a page runs a script."""
    pdf.pages[1].AA = Dictionary(O=_script())


def script_on_opening(pdf: Pdf) -> None:
    """Opening the document runs a script, which can show anything."""
    pdf.Root.OpenAction = _script()


def script_by_name(pdf: Pdf) -> None:
    """The same, by the names tree."""
    pdf.Root.Names.JavaScript = Dictionary(Names=Array([String("a"), pdf.make_indirect(_script())]))


def script_before_closing(pdf: Pdf) -> None:
    """The same, when it is closed, saved or printed."""
    pdf.Root.AA = Dictionary(WP=_script())


def form_of_another_kind(pdf: Pdf) -> None:
    """A second document (XFA) that some readers show in the place of the pages."""
    pdf.Root.AcroForm = Dictionary(Fields=Array([]), XFA=pdf.make_indirect(Stream(pdf, b"<x/>")))


def looks_made_anew_by_the_reader(pdf: Pdf) -> None:
    """The reader draws the fields itself, as their values say."""
    pdf.Root.AcroForm = Dictionary(Fields=Array([]), NeedAppearances=True)


def layers_that_hide(pdf: Pdf) -> None:
    """Parts that are seen on screen and not on paper."""
    group = pdf.make_indirect(Dictionary(Type=Name.OCG, Name=String("faults")))
    pdf.Root.OCProperties = Dictionary(
        OCGs=Array([group]), D=Dictionary(OFF=Array([group]), Order=Array([group]))
    )


def collection_of_files(pdf: Pdf) -> None:
    """A reader opens an attached file in the place of the pages."""
    pdf.Root.Collection = Dictionary(D=String("record.json"), View=Name.H)


def bookmark_that_starts_a_program(pdf: Pdf) -> None:
    """A click on "Exceptions" runs something."""
    del pdf.Root.Outlines.First.Dest
    pdf.Root.Outlines.First.A = Dictionary(S=Name.Launch, F=String("calc"))


def bookmark_of_another_title(pdf: Pdf) -> None:
    """The contents say "accepted"."""
    pdf.Root.Outlines.First.Title = String("Accepted without exceptions")


def read_aloud_otherwise(pdf: Pdf) -> None:
    """Who cannot see the page hears another figure."""
    element = pdf.Root.StructTreeRoot.K
    while not isinstance(element, Dictionary):
        element = element[0]
    element.ActualText = String("No exceptions")


def another_title(pdf: Pdf) -> None:
    """The window says "accepted"."""
    pdf.docinfo["/Title"] = "Accepted without exceptions"


def another_title_in_the_metadata(pdf: Pdf) -> None:
    """The same, for readers that take it from there."""
    data = pdf.Root.Metadata.read_bytes()
    assert b"<dc:title>" in data
    pdf.Root.Metadata.write(data.replace(b"Fellmoor", b"Fellmere"))


def another_author(pdf: Pdf) -> None:
    """Another firm's name on the firm's document."""
    pdf.docinfo["/Author"] = "Somebody else"


def another_output_intent(pdf: Pdf) -> None:
    """Colours are printed otherwise: a red FAIL as grey."""
    pdf.Root.OutputIntents[0].OutputConditionIdentifier = String("other")


def viewer_told_to_hide(pdf: Pdf) -> None:
    """The reader opens without the bars that warn of signatures."""
    pdf.Root.ViewerPreferences.HideToolbar = True


def opened_over_the_whole_screen(pdf: Pdf) -> None:
    """The reader opens without anything that would tell of signatures."""
    pdf.Root.PageMode = Name.FullScreen


def no_words_to_read_aloud(pdf: Pdf) -> None:
    """Who cannot see the pages is told nothing."""
    del pdf.Root.StructTreeRoot


def bookmarks_taken_out(pdf: Pdf) -> None:
    """The list of exceptions is no longer found."""
    del pdf.Root.Outlines


def note_calls_it_another_document(pdf: Pdf) -> None:
    """It passes for the supplement of another job."""
    _in_note(pdf, b'"document":"FTH-26-014/1"', b'"document":"FTH-26-014/9"')


def note_calls_it_finished(pdf: Pdf) -> None:
    """A draft passes for ready to be signed."""
    _in_note(pdf, b'"state":"draft"', b'"state":"signed"')


def note_moves_the_frames(pdf: Pdf) -> None:
    """The next signature is drawn over the figures."""
    _in_note(pdf, b'"signature_boxes_pt":[[', b'"signature_boxes_pt":[[1')


def note_without_a_fingerprint(pdf: Pdf) -> None:
    """Nothing says which record the pages belong to."""
    _in_note(pdf, b'"fingerprint":', b'"fingerprynt":')


def note_says_a_fingerprint_twice(pdf: Pdf) -> None:
    """One reader of the note takes the first, another one the last."""
    _in_note(pdf, b'{"document"', b'{"fingerprint":"00","document"')


def _annotation(pdf: Pdf, page: int = 1, **keys: Any) -> pikepdf.Object:
    made = Dictionary(Type=Name.Annot, Rect=Array([100, 300, 400, 400]), F=4, **keys)
    held = pdf.make_indirect(made)
    listed = pdf.pages[page].get("/Annots", Array())
    pdf.pages[page].Annots = Array([*listed, held])
    return held


def _script() -> Dictionary:
    return Dictionary(S=Name.JavaScript, JS=String("app.alert('accepted')"))


def _names(pdf: Pdf) -> pikepdf.Object:
    return pdf.Root.Names.EmbeddedFiles.Names


def _specification(pdf: Pdf, name: str) -> pikepdf.Object:
    names = list(_names(pdf))
    return names[names.index(String(name)) + 1]


def _copy(pdf: Pdf, specification: pikepdf.Object) -> Dictionary:
    return Dictionary(dict(specification.items()))


def _in_note(pdf: Pdf, old: bytes, new: bytes) -> None:
    stream = _specification(pdf, "handover.json").EF.F
    content = stream.read_bytes()
    assert old in content, content
    stream.write(content.replace(old, new, 1))


def _exchange_pictures(form: pikepdf.Object, deep: int) -> None:
    if form.get("/Subtype") == Name.Image:
        form.write(form.read_raw_bytes()[:-9] + bytes(9), filter=Name(str(form.Filter)))
    elif deep < 5:
        inner = form.get("/Resources", Dictionary()).get("/XObject", Dictionary())
        for below in inner.values():
            _exchange_pictures(below, deep + 1)
