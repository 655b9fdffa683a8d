"""The handover: the document as PDF, the same in open formats, and what is still missing for it.

Others call ``export_process.make_files`` for the files of any of ``progress_steps.FORMATS``, ``outline``
for how it stands without the document, ``record`` for the entries and their fingerprint, and the rooms
``signing`` and ``verify``; ``typeset``, ``formats`` and ``drawings`` make one format each.
"""
