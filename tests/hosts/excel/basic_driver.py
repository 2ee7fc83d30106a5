"""Runs Basic modules in a real LibreOffice, in its VBA mode, by the Python that has uno.

    python3 basic_driver.py SOFFICE PROFILE_URL < modules.json
    python3 basic_driver.py SOFFICE PROFILE_URL BOOK_URL

`modules` are texts by name; the answer of the function Probe.Main goes to standard output. Of a workbook it is the text
of every module that LibreOffice finds in it, by name; no macro runs.
"""

import json
import subprocess
import sys
import time
import uuid

import uno
from com.sun.star.beans import PropertyValue


def setting(name, value):
    one = PropertyValue()
    one.Name, one.Value = name, value
    return one


def connected(soffice, profile):
    pipe = "basic" + uuid.uuid4().hex
    process = subprocess.Popen(
        [
            soffice,
            "--headless",
            "--norestore",
            "--nologo",
            "--nodefault",
            f"--accept=pipe,name={pipe};urp;",
            f"-env:UserInstallation={profile}",
        ],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    resolver = uno.getComponentContext().ServiceManager.createInstance("com.sun.star.bridge.UnoUrlResolver")
    until = time.monotonic() + 90
    while True:
        try:
            return process, resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except Exception:
            if time.monotonic() > until or process.poll() is not None:
                process.kill()
                raise
            time.sleep(0.1)


def answer(desktop):
    """What Probe.Main says."""
    document = desktop.loadComponentFromURL(
        "private:factory/scalc", "_blank", 0, (setting("Hidden", True), setting("MacroExecutionMode", 4))
    )
    libraries = document.BasicLibraries
    libraries.VBACompatibilityMode = True
    library = (
        libraries.getByName("Standard") if libraries.hasByName("Standard") else libraries.createLibrary("Standard")
    )
    for name, text in json.load(sys.stdin).items():
        library.insertByName(name, "Option VBASupport 1\n" + text)
    script = document.getScriptProvider().getScript(
        "vnd.sun.star.script:Standard.Probe.Main?language=Basic&location=document"
    )
    said = script.invoke((), (), ())[0]
    document.close(True)
    return said


def modules(desktop, book):
    """The text of every module in a workbook."""
    document = desktop.loadComponentFromURL(book, "_blank", 0, (setting("Hidden", True), setting("ReadOnly", True)))
    found = {}
    for name in document.BasicLibraries.ElementNames:
        library = document.BasicLibraries.getByName(name)
        found.update((module, library.getByName(module)) for module in library.ElementNames)
    document.close(True)
    return found


def main():
    soffice, profile, *book = sys.argv[1:]
    process, context = connected(soffice, profile)
    try:
        desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        print(json.dumps(modules(desktop, *book) if book else answer(desktop)))
        desktop.terminate()
        process.wait(30)
    finally:
        if process.poll() is None:
            process.kill()


main()
