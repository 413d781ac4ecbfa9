"""Wide registers stay inside the kernels of their own level, in the linked program: else an older processor would meet
an instruction that it does not have.

    .venv/bin/python tests/long/levels_apart.py build/test/tests/cpp/ridethrough_digest

Needs objdump and a program or module that still has its symbols, built with no -march of its own. Every function that
uses ymm or zmm must carry the name of a level that has them: packs live in a namespace of the level's name, so each
function over packs has it in its own.
"""

from __future__ import annotations

import re
import subprocess
import sys

FUNCTION = re.compile(r"^[0-9a-f]+ <(.+)>:$")
# What a function's name must have in it where it uses a register, and what it must not.
WIDE = (("zmm", re.compile(r"\bv4\b")), ("ymm", re.compile(r"\bv[34]\b")))
LEVELS = ("reference", "v2", "v3", "v4")


def main(path: str) -> int:
    command = ["objdump", "--disassemble", "--demangle", "--no-show-raw-insn", "--section=.text", path]
    name, wide, seen = "", {"zmm": set(), "ymm": set()}, set()
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as dump:
        assert dump.stdout is not None
        for line in dump.stdout:
            if head := FUNCTION.match(line):
                name = head[1]
                seen |= {level for level in LEVELS if f"engine::{level}::" in name}
            else:
                for register in wide:
                    if f"%{register}" in line:
                        wide[register].add(name)
    if dump.returncode != 0:
        return dump.returncode
    stray = [(register, f) for register, may in WIDE for f in sorted(wide[register]) if not may.search(f)]
    for register, function in stray:
        print(f"{register} outside its level: {function}")
    missing = sorted(set(LEVELS) - seen)
    print(f"functions with zmm: {len(wide['zmm'])}, with ymm: {len(wide['ymm'])}, outside their level: {len(stray)}")
    if missing or not wide["zmm"] or not wide["ymm"]:
        print(f"no kernel found of {missing or 'a wide level'}: are the symbols there?")
    return bool(stray or missing or not wide["zmm"] or not wide["ymm"])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
