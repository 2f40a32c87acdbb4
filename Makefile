# SPDX-License-Identifier: GPL-3.0-or-later
# springline: make, make demo, make test, make lint, make install. See DEVELOPERS.md.
#
# SAN=1        AddressSanitizer and UndefinedBehaviorSanitizer, in build/san
# PLAIN=1      no hardening, -O1, in build/plain: the objects whose symbols the shape checks read
# ANALYZE=1    gcc -fanalyzer, in build/analyze
# FUZZ=1       with CC=clang: libFuzzer and both sanitizers, in build/clang-fuzz (make fuzz)
# FUZZ_SECONDS=30      how long make fuzz runs each target;  FUZZ_TARGETS="csv text" only these
# CC=clang     works as well, in build/clang
# BUILD=DIR    another build folder
# LARGE=100000 make bench over a store of so many cases
# DEPS=skip    install nothing
# TESTS="..."  only these test files;  ROOMS="base core" only these rooms

VERSION := 0.1.0

.SUFFIXES:
.DEFAULT_GOAL := all
.DELETE_ON_ERROR:
.SECONDARY:
MAKEFLAGS += --no-builtin-rules
SHELL := /bin/sh

ifeq ($(origin CC),default)
CC := gcc
endif
ifeq ($(origin AR),default)
AR := ar
endif
PKG_CONFIG ?= pkg-config
INSTALL    ?= install
PYTHON     ?= python3
PREFIX     ?= /usr/local
BINDIR     ?= $(PREFIX)/bin
MANDIR     ?= $(PREFIX)/share/man
BUILD      ?= build
JOBS       ?= $(shell nproc 2>/dev/null || echo 2)
WERROR     ?= -Werror

# Each variant has a folder, an object tree, a library and a program of its own.
COMPILER_TAG := $(if $(findstring clang,$(notdir $(CC))),clang)
VARIANT_TAG  := $(if $(SAN),san)$(if $(PLAIN),plain)$(if $(ANALYZE),analyze)$(if $(FUZZ),fuzz)
empty :=
space := $(empty) $(empty)
VARIANT := $(subst $(space),-,$(strip $(COMPILER_TAG) $(VARIANT_TAG)))
B := $(BUILD)$(if $(VARIANT),/$(VARIANT))

# ---- packages: the one list ----------------------------------------------------------------------

PACKAGES_BUILD := gcc libc6-dev make pkg-config libncurses-dev libsqlite3-dev libgsl-dev \
    libsodium-dev
PACKAGES_TEST := $(PACKAGES_BUILD) libcmocka-dev libvterm-dev python3 sqlite3 tmux vim less \
    libxml2-utils mandoc openssh-client sudo libwrap0
PACKAGES_LINT := $(PACKAGES_BUILD) libcmocka-dev libvterm-dev python3 binutils clang-format \
    clang-tidy cppcheck mandoc
PACKAGES_DEEP := $(PACKAGES_TEST) clang libclang-rt-14-dev valgrind hyperfine
PACKAGES_ALL  := $(sort $(PACKAGES_TEST) $(PACKAGES_LINT) $(PACKAGES_DEEP))

# $(call need,PACKAGES): install those that dpkg does not know as installed.
define need
@if [ "$(DEPS)" = skip ]; then exit 0; fi; \
if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then \
    echo "make deps: this is not Debian; install these yourself, then run with DEPS=skip:" >&2; \
    echo "  $(strip $(1))" >&2; exit 1; \
fi; \
missing=; \
for package in $(strip $(1)); do \
    case "$$(dpkg-query -W -f='$${db:Status-Status}' $$package 2>/dev/null)" in \
    installed) ;; \
    *) missing="$$missing $$package" ;; \
    esac; \
done; \
if [ -z "$$missing" ]; then exit 0; fi; \
echo "make deps: installing$$missing"; \
as_root=; \
if [ "$$(id -u)" != 0 ]; then \
    if ! command -v sudo >/dev/null; then \
        echo "make deps: needs root or sudo to install$$missing" >&2; exit 1; \
    fi; \
    as_root=sudo; \
fi; \
$$as_root apt-get update -qq && \
$$as_root env DEBIAN_FRONTEND=noninteractive \
    apt-get install -y -qq --no-install-recommends $$missing
endef

# The SSH server of the tests is unpacked into the build folder, not installed: an installed one would
# listen to the network from then on. libwrap0 is what it needs beside the packages above.
define need_sshd
@set -eu; if [ "$(DEPS)" = skip ] || [ -x /usr/sbin/sshd ] || \
    [ -x "$(BUILD)/openssh/usr/sbin/sshd" ]; then exit 0; fi; \
echo "make deps: unpacking openssh-server into $(BUILD)/openssh"; \
rm -rf "$(BUILD)/openssh"; mkdir -p "$(BUILD)/openssh"; cd "$(BUILD)/openssh"; \
if ! apt-get download -qq openssh-server; then \
    if [ "$$(id -u)" = 0 ]; then apt-get update -qq; else sudo apt-get update -qq; fi; \
    apt-get download -qq openssh-server; \
fi; \
dpkg-deb -x openssh-server_*.deb .
endef

# ---- sources, all by wildcard --------------------------------------------------------------------

ROOMS := base core store app ui cli
LIB_SOURCES     := $(foreach r,$(ROOMS),$(wildcard src/$(r)/*.c src/$(r)/*/*.c))
MAIN_SOURCE     := $(wildcard src/main.c)
TOOL_SOURCES    := tests/support/man_sections.c tests/support/set_person.c tests/support/spoil.c
SUPPORT_SOURCES := $(filter-out $(TOOL_SOURCES),$(wildcard tests/support/*.c))
SCHEMA_SOURCES  := $(wildcard schema/*.sql)
BENCH_SOURCES   := $(wildcard tests/bench/*.c)
FUZZ_SOURCES    := $(wildcard tests/fuzz/*.c)
C_TEST_KINDS    := unit store reference screen
C_TESTS         := $(foreach k,$(C_TEST_KINDS),$(wildcard tests/$(k)/*.c)) $(FUZZ_SOURCES)
SCRIPT_TESTS    := $(wildcard tests/cli/*.sh tests/screen/*.sh)
MAN_PAGES       := $(wildcard man/*.1 man/*.5)
TESTS           ?= $(C_TESTS) $(SCRIPT_TESTS)

LIB_OBJECTS     := $(LIB_SOURCES:%.c=$(B)/obj/%.o) $(B)/obj/gen/schema_rungs.o
MAIN_OBJECT     := $(MAIN_SOURCE:%.c=$(B)/obj/%.o)
SUPPORT_OBJECTS := $(SUPPORT_SOURCES:%.c=$(B)/obj/%.o)
LIB     := $(B)/libspringline.a
SUPPORT := $(B)/libsupport.a
PROGRAM := $(if $(MAIN_SOURCE),$(B)/springline)
TEST_PROGRAMS := $(patsubst %.c,$(B)/%,$(filter %.c,$(TESTS)))
BENCH_PROGRAMS := $(BENCH_SOURCES:%.c=$(B)/%)
TOOLS         := $(TOOL_SOURCES:%.c=$(B)/%)
FUZZ_TARGETS  := $(FUZZ_SOURCES:tests/fuzz/%.c=%)
FUZZ_SECONDS  := 30
FUZZ_CC       := clang

# ---- flags ---------------------------------------------------------------------------------------

# What is wanted; each is tried once against the compiler and kept in $(B)/flags.mk if it takes it.
WANTED_WARNINGS := -Wall -Wextra -Wpedantic -Wformat=2 -Wformat-signedness -Wconversion \
    -Wdouble-promotion -Wshadow -Wstrict-prototypes -Wmissing-prototypes -Wold-style-definition \
    -Wmissing-declarations -Wredundant-decls -Wnested-externs -Wvla -Wwrite-strings \
    -Wpointer-arith -Wcast-qual -Wundef -Wimplicit-fallthrough -Wduplicated-cond \
    -Wduplicated-branches -Wlogical-op -Wtrampolines -Wbidi-chars=any -Wfloat-conversion \
    -Wno-overlength-strings -Werror=implicit -Werror=int-conversion \
    -Werror=incompatible-pointer-types
WANTED_HARDENING := -fstack-clash-protection -fstack-protector-strong -fcf-protection=full \
    -ftrivial-auto-var-init=zero -fzero-call-used-regs=used-gpr -fstrict-flex-arrays=3 \
    -fzero-init-padding-bits=all
WANTED_SEMANTICS := -fno-delete-null-pointer-checks -fno-strict-overflow -fno-strict-aliasing \
    -fno-common
WANTED_LINK := -Wl,-z,relro -Wl,-z,now -Wl,-z,noexecstack -Wl,-z,nodlopen \
    -Wl,-z,separate-code -Wl,--as-needed -Wl,--fatal-warnings
SANITIZERS := -fsanitize=address,undefined,float-cast-overflow -fno-sanitize-recover=all \
    -fno-omit-frame-pointer

# These goals may run before a compiler is there; their recipes call make again afterwards.
LATE_GOALS := deps deps-build deps-test deps-lint deps-deep demo test test-deep lint clean \
    uninstall bench fuzz
ifneq ($(filter-out $(LATE_GOALS),$(or $(MAKECMDGOALS),all)),)
include $(B)/flags.mk
endif

CPPFLAGS_ALL := -D_GNU_SOURCE -DNCURSES_WIDECHAR=1 -DSPRINGLINE_VERSION='"$(VERSION)"' \
    -Iinclude $(LIB_INCLUDES) $(CPPFLAGS)
ifneq ($(SAN),)
MODE_CFLAGS  := -O1 -g $(SANITIZERS) $(TAKEN_SEMANTICS)
MODE_LDFLAGS := $(SANITIZERS)
else ifneq ($(FUZZ),)
MODE_CFLAGS  := -O1 -g -fsanitize=fuzzer-no-link $(SANITIZERS) $(TAKEN_SEMANTICS)
MODE_LDFLAGS := $(SANITIZERS)
else ifneq ($(PLAIN),)
MODE_CFLAGS  := -O1 -g -fno-lto -fno-stack-protector -U_FORTIFY_SOURCE $(TAKEN_SEMANTICS)
MODE_LDFLAGS :=
else ifneq ($(ANALYZE),)
MODE_CFLAGS  := -O1 -g -fanalyzer -DSPRINGLINE_ANALYZE=1 -Wno-unused-value $(TAKEN_SEMANTICS)
MODE_LDFLAGS :=
else
MODE_CFLAGS  := -O2 -g -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=3 -fPIE $(TAKEN_SEMANTICS) \
    $(TAKEN_HARDENING)
MODE_LDFLAGS := -pie $(TAKEN_LINK)
endif
COMPILE := $(CC) -std=c11 $(CPPFLAGS_ALL) $(TAKEN_WARNINGS) -Werror=format-security $(WERROR) \
    $(MODE_CFLAGS) $(CFLAGS)
LINK    := $(CC) $(MODE_CFLAGS) $(CFLAGS) $(MODE_LDFLAGS) $(LDFLAGS)
TEST_LIBS   := -lcmocka
SCREEN_LIBS := -lvterm -lutil

# ---- what people call ----------------------------------------------------------------------------

.PHONY: all objects tests deps deps-build deps-test deps-lint deps-deep demo demo-run test \
    test-run test-deep deep-sanitizers deep-valgrind deep-analyzer deep-fuzz fuzz fuzz-programs \
    fuzz-run lint lint-format lint-shape lint-cppcheck lint-tidy lint-man install uninstall clean \
    bench bench-run bench-large plain FORCE

all: $(LIB) $(PROGRAM)

objects: $(LIB_OBJECTS) $(MAIN_OBJECT)

tests: all $(TEST_PROGRAMS) $(if $(filter tests/cli/%,$(TESTS)),$(TOOLS))

deps:
	$(call need,$(PACKAGES_ALL))
	$(need_sshd)
deps-build:
	$(call need,$(PACKAGES_BUILD))
deps-test:
	$(call need,$(PACKAGES_TEST))
	$(need_sshd)
deps-lint:
	$(call need,$(PACKAGES_LINT))
deps-deep:
	$(call need,$(PACKAGES_ALL))
	$(need_sshd)

# In a recipe: a second make, with as many jobs as processors unless the caller chose a number.
AGAIN = $(MAKE) --no-print-directory $(if $(findstring jobserver,$(MAKEFLAGS)),,-j$(JOBS)) DEPS=skip

demo: deps-build
	@$(AGAIN) -s all
	@$(MAKE) --no-print-directory -s DEPS=skip demo-run

test: deps-test
	@$(AGAIN) -s tests
	@$(MAKE) --no-print-directory -s DEPS=skip test-run

bench: deps-test
	@$(AGAIN) -s all $(BENCH_PROGRAMS)
	@$(MAKE) --no-print-directory -s DEPS=skip $(if $(LARGE),bench-large,bench-run)

test-run: tests
	@CI="$(CI)" SPRINGLINE_BUILD="$(B)" $(PYTHON) tests/support/run_tests --build "$(B)" \
	    $(if $(TEST_TIMEOUT),--timeout $(TEST_TIMEOUT)) $(if $(TEST_WRAP),--wrap "$(TEST_WRAP)") \
	    $(patsubst %.c,$(B)/%,$(TESTS))

DEMO := $(B)/demo
demo-run: all
	@set -eu; \
	rm -rf "$(DEMO)"; mkdir -p "$(DEMO)"; chmod 700 "$(DEMO)"; \
	SPRINGLINE_TODAY=$$(cat demo/TODAY); export SPRINGLINE_TODAY; \
	XDG_CONFIG_HOME="$$PWD/$(DEMO)/config"; export XDG_CONFIG_HOME; \
	run() { "$(PROGRAM)" --store "$(DEMO)/practice.db" "$$@"; }; \
	run init --name "Dr Ada Example" --alone; \
	run import demo; \
	if [ -t 0 ] && [ -t 1 ]; then run; exit 0; fi; \
	this_month=$$(date -u -d "$$SPRINGLINE_TODAY" +%Y-%m-01); \
	last_month=$$(date -u -d "$$this_month -1 month" +%Y-%m); \
	printf '\nrecall on %s\n' "$$SPRINGLINE_TODAY"; run recall; \
	printf '\nadvise %s\n' "$$(cat demo/ADVISE)"; run advise "$$(cat demo/ADVISE)"; \
	printf '\naudit of %s\n' "$$last_month"; run audit --month "$$last_month"

# A store of its own, and the recall list as the rows that the others show. BENCH_OPEN: keys that
# take springline to another list before its keys are measured.
BENCH := $(B)/bench
bench-run: all $(BENCH_PROGRAMS)
	@set -eu; \
	rm -rf "$(BENCH)"; mkdir -p "$(BENCH)"; \
	SPRINGLINE_TODAY=$$(cat demo/TODAY); export SPRINGLINE_TODAY; \
	run() { "$(B)/springline" --store "$(BENCH)/practice.db" "$$@"; }; \
	run init --name "Dr Ada Example" --alone >/dev/null; \
	run import demo >/dev/null; \
	run recall >"$(BENCH)/rows.txt"; \
	SPRINGLINE_BUILD="$(B)" HOME="$$PWD/$(BENCH)" XDG_CONFIG_HOME="$$PWD/$(BENCH)/config" \
	    XDG_DATA_HOME="$$PWD/$(BENCH)/data" XDG_STATE_HOME="$$PWD/$(BENCH)/state" \
	    "$(B)/tests/bench/latency" "$$PWD/$(B)/springline" "$(BENCH)/practice.db" \
	    "$(BENCH)/rows.txt"; \
	for program in $(filter-out %/latency %/large,$(BENCH_PROGRAMS)); do \
	    printf '\n%s\n' "$${program##*/}"; "$$program"; \
	done

# The same over a store of $(LARGE) cases, beside the bars of the budgets: then its lists, its month
# and a save, beside the sqlite3 shell and the bare inserts. The stores are made in TMPDIR, outside
# the tree, and removed at the end; 100000 cases take 10 GB there for some minutes.
bench-large: all $(BENCH_PROGRAMS)
	@set -eu; umask 077; \
	place=$$(mktemp -d "$${TMPDIR:-/tmp}/springline-bench.XXXXXX"); \
	trap 'rm -rf "$$place"' EXIT; trap 'exit 1' HUP INT TERM; \
	HOME=$$place; XDG_CONFIG_HOME=$$place; XDG_DATA_HOME=$$place; XDG_STATE_HOME=$$place; \
	SPRINGLINE_BUILD="$(abspath $(B))"; SPRINGLINE_TODAY=$$(cat demo/TODAY); \
	export HOME XDG_CONFIG_HOME XDG_DATA_HOME XDG_STATE_HOME SPRINGLINE_BUILD SPRINGLINE_TODAY; \
	run() { store=$$1; shift; "$$SPRINGLINE_BUILD/springline" --store "$$place/$$store" "$$@"; }; \
	for store in small large; do \
	    cases=1000; if [ $$store = large ]; then cases=$(LARGE); fi; \
	    $(PYTHON) tests/bench/make_large "$$place/csv" --cases $$cases; \
	    run $$store init --alone; run $$store import "$$place/csv" >/dev/null; rm -rf "$$place/csv"; \
	done; \
	cp "$$place/large" "$$place/saved"; cp "$$place/large" "$$place/bare"; \
	run large recall >"$$place/rows.txt"; \
	"$$SPRINGLINE_BUILD/tests/bench/latency" "$$SPRINGLINE_BUILD/springline" "$$place/large" \
	    "$$place/rows.txt" large; \
	printf '\n'; \
	"$$SPRINGLINE_BUILD/tests/bench/large" "$$place/small" "$$place/large" "$$place/saved" \
	    "$$place/bare"

# Each target of tests/fuzz in turn under libFuzzer, from the inputs in tests/fuzz/corpus; what it
# finds lies in $(B)/fuzz. The same targets without FUZZ=1 replay those inputs, as tests.
fuzz: deps-deep
	@$(AGAIN) -s CC="$(FUZZ_CC)" FUZZ=1 fuzz-programs
	@$(MAKE) --no-print-directory -s CC="$(FUZZ_CC)" FUZZ=1 DEPS=skip fuzz-run
fuzz-programs: $(FUZZ_TARGETS:%=$(B)/tests/fuzz/%)
fuzz-run: fuzz-programs
	@$(PYTHON) tests/support/run_fuzz --build "$(B)" --seconds $(FUZZ_SECONDS) $(FUZZ_MORE) \
	    $(FUZZ_TARGETS)

# Deep: the whole suite under the sanitizers of gcc, the core and store tests under valgrind, the
# fuzz targets for half a minute each, and gcc's analyzer. Valgrind's programs are built without the flags that would hide from it.
VALGRIND := valgrind -q --error-exitcode=99 --leak-check=full --errors-for-leak-kinds=definite \
    --track-origins=yes --suppressions=tests/support/valgrind.supp
# Not for valgrind: property tests, 100,000 cases each, and thousands of trials on a file, which the
# sanitizers see; and tests that take malloc, the disk or whole processes away, which its own slowness
# and malloc upset.
VALGRIND_TESTS := $(filter-out %_property_test.c %/flip_test.c %/tamper_test.c %/fault_test.c \
    %/memory_test.c %/memory_verify_test.c %/refusal_test.c %/seats_test.c,$(filter tests/unit/% tests/store/%,$(C_TESTS)))

test-deep: deps-deep
	@$(MAKE) --no-print-directory -s -k DEPS=skip deep-sanitizers deep-valgrind deep-fuzz \
	    deep-analyzer

deep-sanitizers:
	@$(AGAIN) -s SAN=1 tests
	@$(MAKE) --no-print-directory -s SAN=1 TEST_TIMEOUT=600 test-run

deep-valgrind:
	@$(AGAIN) -s PLAIN=1 TESTS="$(VALGRIND_TESTS)" tests
	@$(MAKE) --no-print-directory -s PLAIN=1 TESTS="$(VALGRIND_TESTS)" TEST_TIMEOUT=900 \
	    TEST_WRAP="$(VALGRIND)" test-run

deep-fuzz:
	@$(MAKE) --no-print-directory -s DEPS=skip FUZZ_SECONDS=30 fuzz

deep-analyzer:
	@$(AGAIN) -s ANALYZE=1 objects

# Lint: each step on its own, all of them made even if one fails (-k).
C_FILES     := $(LIB_SOURCES) $(MAIN_SOURCE) $(C_TESTS) $(SUPPORT_SOURCES) $(TOOL_SOURCES) \
    $(BENCH_SOURCES)
HEADERS     := $(wildcard include/springline/*/*.h src/*/*.h src/*/*/*.h tests/*/*.h)
TIDY_STAMPS := $(C_FILES:%.c=$(BUILD)/tidy/%.ok)
LINT_STEPS  := lint-format lint-shape lint-cppcheck lint-tidy lint-man

lint: deps-lint
	@$(AGAIN) -s -k -Otarget $(LINT_STEPS) && echo "lint: clean"

lint-format:
	clang-format --dry-run -Werror $(C_FILES) $(HEADERS)

lint-shape: plain
	CC="$(CC)" $(PYTHON) tests/support/check_shape --objects $(BUILD)/plain/obj
plain:
	$(MAKE) --no-print-directory PLAIN=1 objects

lint-cppcheck:
	@mkdir -p $(BUILD)/cppcheck
	cppcheck -q -j $(JOBS) --std=c11 --enable=warning,portability --inline-suppr \
	    --error-exitcode=1 --cppcheck-build-dir=$(BUILD)/cppcheck \
	    --suppressions-list=tests/support/cppcheck.txt \
	    --template='{file}:{line}: {severity}: {message} [{id}]' \
	    -D_GNU_SOURCE -DSPRINGLINE_VERSION='"$(VERSION)"' -Iinclude -Itests/support $(C_FILES)

lint-tidy: $(TIDY_STAMPS)
$(BUILD)/tidy/%.ok: %.c .clang-tidy tests/.clang-tidy $(HEADERS)
	@mkdir -p $(@D)
	clang-tidy --quiet $< -- -std=c11 $(CPPFLAGS_ALL) -Itests/support 2>$@.log || \
	    { cat $@.log; exit 1; }
	@touch $@

lint-man:
	$(if $(MAN_PAGES),mandoc -T lint -W warning $(MAN_PAGES))

install: all
	$(INSTALL) -d "$(DESTDIR)$(BINDIR)"
	$(INSTALL) -m 755 $(PROGRAM) "$(DESTDIR)$(BINDIR)/springline"
	@set -e; for page in $(MAN_PAGES); do \
	    section="man$${page##*.}"; \
	    $(INSTALL) -d "$(DESTDIR)$(MANDIR)/$$section"; \
	    $(INSTALL) -m 644 "$$page" "$(DESTDIR)$(MANDIR)/$$section/"; \
	done

uninstall:
	rm -f "$(DESTDIR)$(BINDIR)/springline"
	@for page in $(MAN_PAGES); do \
	    rm -f "$(DESTDIR)$(MANDIR)/man$${page##*.}/$${page##*/}"; \
	done

clean:
	rm -rf "$(BUILD)"

print-%:
	@echo '$($*)'

# ---- how things are made -------------------------------------------------------------------------

# Every flag that the compiler takes, and where the libraries are. Of GSL a few functions are used:
# where its archives are installed they go into the program, which spares loading 3 MB at each start.
$(B)/flags.mk: Makefile
	@mkdir -p $(@D)
	@set -eu; \
	probe="$(B)/probe.$$$$"; \
	printf 'int main(void)\n{\n    return 0;\n}\n' >"$$probe.c"; \
	if ! $(CC) "$$probe.c" -o "$$probe.out"; then \
	    rm -f "$$probe".*; echo "make: $(CC) does not work; run: make deps" >&2; exit 1; \
	fi; \
	take() { \
	    name=$$1; shift; taken=; \
	    for flag in "$$@"; do \
	        if $(CC) -O2 -Werror $$flag "$$probe.c" -o "$$probe.out" 2>/dev/null; \
	        then taken="$$taken $$flag"; fi; \
	    done; \
	    echo "$$name :=$$taken"; \
	}; \
	{ \
	    take TAKEN_WARNINGS $(WANTED_WARNINGS); \
	    take TAKEN_HARDENING $(WANTED_HARDENING); \
	    take TAKEN_SEMANTICS $(WANTED_SEMANTICS); \
	    take TAKEN_LINK $(WANTED_LINK); \
	    echo "LIB_INCLUDES := $$($(PKG_CONFIG) --cflags-only-I ncursesw sqlite3 gsl libsodium)"; \
	    libs=$$($(PKG_CONFIG) --libs ncursesw sqlite3 gsl libsodium) || \
	        libs="-lncursesw -ltinfo -lsqlite3 -lgsl -lgslcblas -lm -lsodium"; \
	    static=$$(echo "$$libs" | \
	        sed 's/-lgsl \(.*\)-lgslcblas/-l:libgsl.a \1-l:libgslcblas.a/'); \
	    if $(CC) "$$probe.c" -pie -fPIE $$static -o "$$probe.out" 2>/dev/null; \
	    then libs=$$static; fi; \
	    echo "LIBS := $$libs"; \
	} >"$$probe.mk"; \
	mv "$$probe.mk" $@; rm -f "$$probe".*

# $(call keep,TEXT): rewrites the target only if TEXT differs from it, so that a changed flag or a
# removed file rebuilds what depends on it and nothing else.
keep = @mkdir -p $(@D); printf '%s\n' '$(subst ','\'',$(1))' >$@.$$$$; \
    if cmp -s $@.$$$$ $@; then rm -f $@.$$$$; else mv $@.$$$$ $@; fi
$(B)/compile.txt: FORCE
	$(call keep,$(COMPILE))
$(B)/link.txt: FORCE
	$(call keep,$(LINK) $(LIBS))
$(B)/objects.txt: FORCE
	$(call keep,$(LIB_OBJECTS))
$(B)/support.txt: FORCE
	$(call keep,$(SUPPORT_OBJECTS))
$(B)/schema.txt: FORCE
	$(call keep,$(SCHEMA_SOURCES))

$(B)/obj/tests/%.o: tests/%.c $(B)/compile.txt
	@mkdir -p $(@D)
	$(COMPILE) -Itests/support -MMD -MP -c $< -o $@
$(B)/obj/gen/%.o: $(B)/gen/%.c $(B)/compile.txt
	@mkdir -p $(@D)
	$(COMPILE) -MMD -MP -c $< -o $@
$(B)/obj/%.o: %.c $(B)/compile.txt
	@mkdir -p $(@D)
	$(COMPILE) -MMD -MP -c $< -o $@

$(LIB): $(LIB_OBJECTS) $(B)/objects.txt
	@mkdir -p $(@D); rm -f $@
	$(AR) rcs $@ $(LIB_OBJECTS)
$(SUPPORT): $(SUPPORT_OBJECTS) $(B)/support.txt
	@mkdir -p $(@D); rm -f $@
	$(AR) rcs $@ $(SUPPORT_OBJECTS)

$(B)/springline: $(MAIN_OBJECT) $(LIB) $(B)/link.txt
	$(LINK) $(MAIN_OBJECT) $(LIB) $(LIBS) -o $@

$(B)/tests/screen/%: $(B)/obj/tests/screen/%.o $(SUPPORT) $(LIB) $(B)/link.txt
	@mkdir -p $(@D)
	$(LINK) $< $(SUPPORT) $(LIB) $(TEST_LIBS) $(SCREEN_LIBS) $(LIBS) -o $@
$(B)/tests/bench/%: $(B)/obj/tests/bench/%.o $(SUPPORT) $(LIB) $(B)/link.txt
	@mkdir -p $(@D)
	$(LINK) $< $(SUPPORT) $(LIB) $(TEST_LIBS) $(SCREEN_LIBS) $(LIBS) -o $@
$(B)/tests/fuzz/%: $(B)/obj/tests/fuzz/%.o $(SUPPORT) $(LIB) $(B)/link.txt
	@mkdir -p $(@D)
	$(LINK) $(if $(FUZZ),-fsanitize=fuzzer) $< $(SUPPORT) $(LIB) $(TEST_LIBS) $(LIBS) -o $@
$(B)/tests/%: $(B)/obj/tests/%.o $(SUPPORT) $(LIB) $(B)/link.txt
	@mkdir -p $(@D)
	$(LINK) $< $(SUPPORT) $(LIB) $(TEST_LIBS) $(LIBS) -o $@

# The rungs as C: schema/0001_first.sql becomes { 1, "..." }. The number leads the file name, the
# first is 1, and there is no gap.
define EMBED_SCHEMA
BEGIN {
    print "/* Made by the Makefile from schema/. */"
    print "#include \"springline/store/schema.h\"\n"
    print "const struct schema_rung schema_rungs[] = {"
    for (i = 1; i < ARGC; i++) {
        name = ARGV[i]
        sub(/.*\//, "", name)
        if (name !~ /^[0-9]+_[a-z0-9_]+\.sql$$/ || name + 0 != i) {
            print "schema: " ARGV[i] ": expected rung " i ", as 000" i "_name.sql" > "/dev/stderr"
            exit 1
        }
        printf "    {%d,", i
        lines = 0
        while ((got = (getline line < ARGV[i])) > 0) {
            gsub(/[\\"?]/, "\\\\&", line)
            gsub(/\t/, "\\t", line)
            gsub(/\r/, "\\r", line)
            printf "\n     \"%s\\n\"", line
            lines++
        }
        if (got < 0 || lines == 0) {
            print "schema: " ARGV[i] ": empty or not readable" > "/dev/stderr"
            exit 1
        }
        print "},"
    }
    if (ARGC == 1)
        print "    {0, NULL},"
    print "};"
    printf "const size_t schema_rung_count = %d;\n", ARGC - 1
    exit 0
}
endef
export EMBED_SCHEMA
$(B)/gen/schema_rungs.c: $(SCHEMA_SOURCES) $(B)/schema.txt Makefile
	@mkdir -p $(@D)
	awk "$$EMBED_SCHEMA" $(sort $(SCHEMA_SOURCES)) >$@

FORCE:

-include $(wildcard $(LIB_OBJECTS:.o=.d) $(MAIN_OBJECT:.o=.d) $(SUPPORT_OBJECTS:.o=.d) \
    $(patsubst $(B)/%,$(B)/obj/%.d,$(TEST_PROGRAMS) $(BENCH_PROGRAMS) $(TOOLS) \
    $(FUZZ_TARGETS:%=$(B)/tests/fuzz/%)))
