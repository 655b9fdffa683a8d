"""The handover: the document as PDF, the same in open formats, and what is still missing for it.

``export_process.make_files`` makes the files of any of ``progress_steps.FORMATS``, ``outline`` says how
the document stands without building it, ``record`` holds the entries and their fingerprint.
"""
