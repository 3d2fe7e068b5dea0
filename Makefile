# Cellar: make, make check, make demo, make install.  See DEVELOPERS.md.

PREFIX ?= /usr/local
DESTDIR ?=
CC ?= gcc
BUILD ?= build
# A folder with the outside test files, where there is one (see DEVELOPERS.md).
REAL ?= ../shared/real
# The schema of MusicXML 4.0, where it is at hand.
XSD ?= ../shared/reference/musicxml.xsd

PACKAGES := sqlite3 libxml-2.0 zlib minizip
DEBIAN := pkg-config libsqlite3-dev libxml2-dev zlib1g-dev libminizip-dev check

# `make asan check` builds everything anew under the sanitisers, in a folder of
# its own, and tests that.
ifneq ($(filter asan,$(MAKECMDGOALS)),)
BUILD := build/asan
SANITIZE := -fsanitize=address,undefined -fno-sanitize-recover=undefined \
	-fno-omit-frame-pointer
endif

# `make coverage` as well; threads count one after the other.
ifneq ($(filter coverage,$(MAKECMDGOALS)),)
BUILD := build/coverage
OPTIMIZE := -Og -g
SANITIZE := --coverage -fprofile-update=atomic
endif

OPTIMIZE ?= -O2 -g
WARNINGS := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror
# Headers of libraries are not ours to warn about.
LIBRARY_FLAGS = $(shell pkg-config --cflags $(PACKAGES) 2>/dev/null | \
	sed 's/-I/-isystem /g')
ALL_CFLAGS = -std=c11 -D_GNU_SOURCE -pthread -I. -I$(BUILD)/gen \
	$(LIBRARY_FLAGS) $(WARNINGS) $(OPTIMIZE) $(SANITIZE) \
	$(CPPFLAGS) $(CFLAGS) -ffile-prefix-map=$(CURDIR)=.
ALL_LDFLAGS = -pthread $(SANITIZE) $(LDFLAGS)
LIBS = $(shell pkg-config --libs $(PACKAGES) 2>/dev/null) -lm
# The two programs start sooner with all but libxml2 inside them.  Where there
# are no archives, and with LINK=shared, they take it from the system, too.
LINK ?= $(if $(SANITIZE),shared,static)
INSIDE := sqlite3 minizip z
ARCHIVES = $(wildcard $(foreach lib,$(INSIDE), \
	$(shell $(CC) -print-file-name=lib$(lib).a)))
PROGRAM_LIBS = $(if $(filter static-3,$(LINK)-$(words $(ARCHIVES))), \
	$(ARCHIVES),$(shell pkg-config --libs sqlite3 zlib minizip 2>/dev/null)) \
	-lm -ldl
LIBXML_LIBS = $(shell pkg-config --libs libxml-2.0 2>/dev/null)
# cellar loads libxml2 when it needs it (query/late_xml.c), by this name.
LIBXML_SONAME = $(shell objdump -p "`$(CC) -print-file-name=libxml2.so`" \
	2>/dev/null | sed -n 's/.*SONAME *//p')
CHECK_LIBS = $(shell pkg-config --libs check 2>/dev/null)

# `make V=1` shows the commands.
ifneq ($(V),1)
Q := @
endif

SCHEMA := $(wildcard schema/*.c)
INDEXER := $(filter-out indexer/main.c,$(wildcard indexer/*.c))
QUERY := $(filter-out query/main.c query/late_xml.c,$(wildcard query/*.c))
# The part of the indexer that reads a fragment from a file.
READER := $(filter-out indexer/library.c indexer/plan.c indexer/reading.c \
	indexer/settings.c indexer/walk.c,$(INDEXER))
# Texts that become C arrays: the DDL, and what a page of HTML holds.
DDL := $(BUILD)/gen/schema_sql.h $(BUILD)/gen/notebook_sql.h
PAGE := $(BUILD)/gen/page_css.h $(BUILD)/gen/page_js.h
UNIT := $(wildcard tests/unit/*.c) tests/form/cycle.c tests/form/tune.c \
	tests/form/grid_text.c tests/form/form_twin.c
DEMO := $(wildcard tests/demo/*.c)
# What is written by build/manual: manual pages and completions.
MANUAL := $(wildcard query/manual/*.c)
WRITTEN := $(patsubst query/manual/%.in,$(BUILD)/share/%, \
	$(wildcard query/manual/*.in))
# A harness each (tests/fuzz/NAME.c), and what they share.
FUZZ := container musicxml fragment chord solo gram notebook index handout
FUZZ_SHARED := tests/fuzz/fuzz.c

objects = $(patsubst %.c,$(BUILD)/obj/%.o,$(1))

.PHONY: all demo check deps install uninstall package-check reproducible asan \
	bench bench-growth profile clean faults fuzz mutate lint coverage \
	corpus-demo check-real check-reference check-chords check-handouts \
	check-pages check-schema format form-table picture

all: $(BUILD)/cellar-index $(BUILD)/cellar $(WRITTEN)

asan: all

$(BUILD)/cellar-index: $(call objects,$(SCHEMA) $(INDEXER) indexer/main.c)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBXML_LIBS) $(PROGRAM_LIBS)

$(BUILD)/cellar: $(call objects,$(SCHEMA) $(READER) $(QUERY) query/late_xml.c \
		query/main.c)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(PROGRAM_LIBS)

$(BUILD)/obj/query/late_xml.o: CPPFLAGS += \
	$(if $(LIBXML_SONAME),-DLIBXML_SONAME='"$(LIBXML_SONAME)"')

$(BUILD)/manual: $(call objects,$(SCHEMA) $(READER) indexer/settings.c \
		$(QUERY) $(MANUAL))
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

$(WRITTEN): $(BUILD)/share/%: query/manual/%.in $(BUILD)/manual
	@mkdir -p $(@D)
	$(Q)$(BUILD)/manual $< >$@.new && mv $@.new $@

$(BUILD)/obj/%.o: %.c | $(DDL) $(PAGE)
	@mkdir -p $(@D)
	@echo '  CC $<'
	$(Q)$(CC) $(ALL_CFLAGS) -MMD -MP -c -o $@ $<

# A text becomes an array of its bytes (a C string may not be long enough):
# $(call c_text,NAME,FILE).  ASCII only.
c_text = (echo 'static const char $(1)[] = {' && od -An -v -tx1 $(2) | \
	    sed -e 's/ \(..\)/0x\1,/g' && echo '0};')

$(DDL): $(BUILD)/gen/%_sql.h: schema/%.sql Makefile
	@mkdir -p $(@D)
	$(Q)$(call c_text,$*_sql,$<) > $@

$(PAGE): $(BUILD)/gen/page_%.h: query/page.% Makefile
	@mkdir -p $(@D)
	$(Q)$(call c_text,page_$*,$<) > $@

# --- fuzzing: see DEVELOPERS.md ---------------------------------------------

# Each harness with a main() of its own that gives it files.
REPLAYS := $(FUZZ:%=$(BUILD)/tests/fuzz/%)
$(REPLAYS): $(BUILD)/tests/fuzz/%: $(BUILD)/obj/tests/fuzz/%.o \
		$(call objects,$(FUZZ_SHARED) tests/fuzz/replay.c \
		$(SCHEMA) $(READER) $(QUERY) indexer/phrase.c)
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $(sort $^) $(LIBS)

# Each harness with libFuzzer, and with its mutator where it has one.
FUZZERS := $(FUZZ:%=$(BUILD)/fuzzers/%)
$(FUZZERS): $(BUILD)/fuzzers/%: $(BUILD)/obj/tests/fuzz/%.o \
		$(call objects,$(FUZZ_SHARED) $(SCHEMA) $(READER) $(QUERY) \
		indexer/phrase.c)
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -fsanitize=fuzzer -o $@ $(sort $^) $(LIBS)
fuzzer = $(patsubst %,$(BUILD)/fuzzers/%,$(1))
$(call fuzzer,musicxml handout): $(call objects,tests/fuzz/mutate_score.c \
		tests/fuzz/mutate_score_words.c tests/fuzz/mutate_with_score.c)
$(call fuzzer,notebook index): $(call objects,tests/fuzz/mutate_with_rows.c \
		tests/fuzz/mutate_score.c tests/fuzz/mutate_score_words.c)

$(BUILD)/tests/seeds: $(call objects,$(SCHEMA) $(INDEXER) tests/fuzz/seeds.c)
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

$(BUILD)/tests/mutate: $(call objects,tests/fuzz/mutate.c \
		tests/fuzz/mutate_score.c tests/fuzz/mutate_score_words.c \
		indexer/container.c indexer/xml_watch.c indexer/zipname.c $(SCHEMA))
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

# SECONDS=60 for each harness, TARGETS="musicxml solo" for some of them.
fuzz:
	@SECONDS_EACH=$(or $(SECONDS),60) bash tests/fuzz/run.sh $(TARGETS)

# COUNT=2000 changed copies of music files, each given to cellar-index.
mutate: $(BUILD)/cellar-index $(BUILD)/tests/mutate
	@$(MAKE) --no-print-directory asan build/asan/cellar-index
	@BUILD=$(BUILD) REAL=$(REAL) COUNT=$(COUNT) SEED=$(SEED) \
	    bash tests/fuzz/mutate.sh

# --- tests ----------------------------------------------------------------

$(BUILD)/tests/unit: $(call objects,$(SCHEMA) $(INDEXER) $(QUERY) $(UNIT))
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS) $(CHECK_LIBS)

$(BUILD)/tests/compose: $(call objects,$(DEMO))
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

$(BUILD)/tests/chord_dump: $(call objects,tests/reference/chord_dump.c $(SCHEMA))
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

$(BUILD)/tests/form_table: $(call objects,$(SCHEMA) $(INDEXER) \
		tests/form/cycle.c tests/form/tune.c tests/form/table.c)
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

$(BUILD)/tests/corpus: $(call objects,$(SCHEMA) $(INDEXER) tests/demo/rng.c \
		tests/bench/corpus.c tests/bench/corpus_store.c \
		tests/bench/corpus_write.c tests/bench/invent.c \
		tests/bench/text.c)
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

$(BUILD)/tests/measure $(BUILD)/tests/scan: $(BUILD)/tests/%: \
		$(BUILD)/obj/tests/bench/%.o
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^

# The faults: a library that is preloaded, and the walk over them.
$(BUILD)/tests/shim.so: tests/faults/shim.c tests/faults/shim.h
	@mkdir -p $(@D)
	$(Q)$(CC) -std=c11 -D_GNU_SOURCE $(WARNINGS) -O2 -g $(CFLAGS) -fPIC \
	    -shared $(LDFLAGS) -o $@ $< -ldl

$(BUILD)/tests/walk: $(call objects,$(addprefix tests/faults/,walk.c judge.c \
		state.c trial.c))
	@mkdir -p $(@D)
	$(Q)$(CC) $(ALL_LDFLAGS) -o $@ $^ -lsqlite3

# Every fault at every moment; QUICK=1 some of them, as make check does.
faults: all $(BUILD)/tests/shim.so $(BUILD)/tests/walk
	BUILD=$(BUILD) bash tests/faults/run.sh
	BUILD=$(BUILD) bash tests/faults/places.sh

# How often the form of invented solos is found.
form-table: $(BUILD)/tests/form_table
	$(BUILD)/tests/form_table

check: all $(BUILD)/tests/unit $(REPLAYS) $(BUILD)/tests/seeds \
		$(BUILD)/tests/mutate $(BUILD)/tests/shim.so $(BUILD)/tests/walk
	BUILD=$(BUILD) REAL=$(REAL) bash tests/run.sh

# Which lines the tests run, a file a row, and at least 90 % of each folder.
coverage: all $(BUILD)/tests/unit $(REPLAYS) $(BUILD)/tests/seeds \
		$(BUILD)/tests/mutate
	@BUILD=$(BUILD) REAL=$(REAL) bash tests/coverage.sh

# What clang-tidy and cppcheck find; DEEP=1 looks harder.
lint: $(DDL) $(PAGE)
	@LINT_CFLAGS="$(filter-out -g -O2 -W%,$(ALL_CFLAGS))" DEEP=$(DEEP) \
	    bash tests/lint/run.sh

check-real: all
	node tests/reference/real.js $(BUILD) $(REAL)

check-reference: check-chords check-handouts check-pages

check-chords: $(BUILD)/tests/chord_dump
	cd tests/reference/chords && npm ci --silent --no-audit --no-fund
	CELLAR_XSD=$(wildcard $(XSD)) node tests/reference/chords/check.js $(BUILD)

# Exported excerpts and pages as other programs read them.
check-handouts: all
	cd tests/reference/handouts && npm ci --silent --no-audit --no-fund
	CELLAR_XSD=$(wildcard $(XSD)) CELLAR_REAL=$(wildcard $(REAL)) \
	    node tests/reference/handouts/check.js $(BUILD)

check-pages: all
	cd tests/reference/pages && npm ci --silent --no-audit --no-fund
	node tests/reference/pages/check.js $(BUILD)

# The demo solos against the schema of the standard.
check-schema:
	bash tests/reference/schema.sh $(XSD)

# --- the rest --------------------------------------------------------------

deps:
	@bash tests/deps.sh $(DEBIAN)

demo:
	@$(MAKE) --no-print-directory deps
	@$(MAKE) --no-print-directory all
	@BUILD=$(BUILD) bash tests/demo.sh

corpus-demo: $(BUILD)/tests/compose
	$(BUILD)/tests/compose corpus-demo

# The picture in README.md; needs abcm2ps and chromium.
picture: all
	bash tests/demo/picture.sh $(BUILD) tests/demo/lesson.png

BENCH_TOOLS := $(addprefix $(BUILD)/tests/,corpus measure scan)

bench: all $(BENCH_TOOLS)
	@BUILD=$(BUILD) bash tests/bench/run.sh $(SOLOS)

# SOLOS="1000 10000" says which sizes.
bench-growth: all $(BENCH_TOOLS)
	@BUILD=$(BUILD) bash tests/bench/growth.sh $(SOLOS)

# Of the slowest rows of the last `make bench`, or of ROWS="cells find-edit-2".
profile: all $(BENCH_TOOLS)
	@BUILD=$(BUILD) bash tests/bench/profile.sh $(or $(SOLOS),1000) $(ROWS)

# Where things go; a distribution may want some of them elsewhere.
BINDIR ?= $(PREFIX)/bin
MANDIR ?= $(PREFIX)/share/man
DOCDIR ?= $(PREFIX)/share/doc/cellar
DEMODIR ?= $(PREFIX)/share/cellar/corpus-demo
BASHDIR ?= $(PREFIX)/share/bash-completion/completions
ZSHDIR ?= $(PREFIX)/share/zsh/site-functions
FISHDIR ?= $(PREFIX)/share/fish/vendor_completions.d
DOCS := README.md DEVELOPERS.md CHANGELOG.md LICENSE
DEMO_FILES := README.md planted.tsv $(patsubst corpus-demo/%,%, \
	$(wildcard corpus-demo/*/*.musicxml corpus-demo/*/*.mxl))
# One file a word, FROM:TO; uninstalling goes by the same list.
INSTALLED = $(BUILD)/cellar:$(BINDIR)/cellar \
	$(BUILD)/cellar-index:$(BINDIR)/cellar-index \
	$(BUILD)/share/cellar.1:$(MANDIR)/man1/cellar.1 \
	$(BUILD)/share/cellar-index.1:$(MANDIR)/man1/cellar-index.1 \
	$(BUILD)/share/cellar-fragment.7:$(MANDIR)/man7/cellar-fragment.7 \
	$(BUILD)/share/cellar.bash:$(BASHDIR)/cellar \
	$(BUILD)/share/cellar.bash:$(BASHDIR)/cellar-index \
	$(BUILD)/share/cellar.zsh:$(ZSHDIR)/_cellar \
	$(BUILD)/share/cellar.fish:$(FISHDIR)/cellar.fish \
	$(BUILD)/share/cellar-index.fish:$(FISHDIR)/cellar-index.fish \
	tests/demo/lesson.png:$(DOCDIR)/tests/demo/lesson.png \
	$(foreach doc,$(DOCS),$(doc):$(DOCDIR)/$(doc)) \
	$(foreach file,$(DEMO_FILES),corpus-demo/$(file):$(DEMODIR)/$(file))

install: all
	@set -e; for pair in $(INSTALLED); do \
	    mode=644; \
	    case $$pair in $(BUILD)/cellar:*|$(BUILD)/cellar-index:*) mode=755;; esac; \
	    install -D -m $$mode "$${pair%%:*}" "$(DESTDIR)$${pair#*:}"; \
	done
	@echo "installed below $(DESTDIR)$(PREFIX)"

# Folders that are only ours go too, unless something else was put there.
uninstall:
	@set -e; for pair in $(INSTALLED); do \
	    rm -f "$(DESTDIR)$${pair#*:}"; \
	done
	@for folder in $(DOCDIR)/tests/demo $(DOCDIR)/tests $(DOCDIR) \
	    $(addprefix $(DEMODIR)/,$(sort $(filter-out ./,$(dir $(DEMO_FILES))))) \
	    $(DEMODIR) $(PREFIX)/share/cellar; do \
	    [ ! -d "$(DESTDIR)$$folder" ] || \
	        rmdir --ignore-fail-on-non-empty "$(DESTDIR)$$folder"; \
	done

# The package in a new Debian 12; needs root and the registry of Debian.
package-check:
	bash tests/package.sh

# Two builds in two folders, byte for byte.
reproducible:
	bash tests/reproducible.sh

format:
	clang-format -i $(wildcard */*.[ch] query/manual/*.[ch] tests/*/*.[ch])

clean:
	rm -rf build

-include $(shell find $(BUILD)/obj -name '*.d' 2>/dev/null)
