# marquer - build, test, install.  GNU make, nothing to configure.
# `make help` lists what can be asked for.  CC, CFLAGS, CPPFLAGS, LDFLAGS,
# PREFIX, DESTDIR are respected; a file config.mk, if there, is read first.
#
# build/marquer, build/libmarquer.*    the delivered build (VARIANT=plain)
# build/VARIANT/                       objects, tests and logs of a variant
# BUILD=DIR builds there instead of in build/.

-include config.mk

.DEFAULT_GOAL := all
.SUFFIXES:
.SECONDARY:
.DELETE_ON_ERROR:

VARIANT    ?= plain
BUILD      ?= build
CFLAGS     ?= -O2 -g
PREFIX     ?= /usr/local
BINDIR     ?= $(PREFIX)/bin
LIBDIR     ?= $(PREFIX)/lib
INCLUDEDIR ?= $(PREFIX)/include
MANDIR     ?= $(PREFIX)/share/man
PKG_CONFIG ?= pkg-config
AR         ?= ar
INSTALL    ?= install
JOBS       ?= $(shell nproc 2>/dev/null || echo 2)
DEMO       ?= shared/samples/light-two.combo

# ---- variants: how the same sources are compiled for a purpose ----------

SANITIZE = -O1 -g -fno-omit-frame-pointer -fno-sanitize-recover=all
ifeq ($(VARIANT),plain)
else ifeq ($(VARIANT),asan)
  override CFLAGS = $(SANITIZE) -fsanitize=address,undefined -DMARQ_DEBUG
  WERROR = -Werror
else ifeq ($(VARIANT),ubsan)
  override CFLAGS = $(SANITIZE) -fsanitize=undefined -DMARQ_DEBUG
  WERROR = -Werror
else ifeq ($(VARIANT),gcc-O0)
  override CC = gcc
  override CFLAGS = -O0 -g -DMARQ_DEBUG
  WERROR = -Werror
else ifeq ($(VARIANT),gcc-O2)
  override CC = gcc
  override CFLAGS = -O2 -g
  WERROR = -Werror
else ifeq ($(VARIANT),clang-O0)
  override CC = clang
  override CFLAGS = -O0 -g -DMARQ_DEBUG
  WERROR = -Werror
else ifeq ($(VARIANT),clang-O2)
  override CC = clang
  override CFLAGS = -O2 -g
  WERROR = -Werror
else ifeq ($(VARIANT),coverage)
  override CC = gcc
  override CFLAGS = -O0 -g --coverage
else ifeq ($(VARIANT),fuzz)
  override CC = clang
  override CFLAGS = $(SANITIZE) -DMARQ_DEBUG \
    -fsanitize=fuzzer-no-link,address,undefined
else
  $(error no variant $(VARIANT): plain asan ubsan gcc-O0 gcc-O2 clang-O0 \
    clang-O2 coverage fuzz)
endif

B := $(BUILD)/$(VARIANT)
ifeq ($(VARIANT),plain)
  O := $(BUILD)
else
  O := $(B)
endif

# ---- flags --------------------------------------------------------------

WARN = -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes \
       -Wmissing-prototypes -Wvla $(WERROR)
OURS = -std=c11 -fPIC -fvisibility=hidden $(WARN)
POSIX = -D_POSIX_C_SOURCE=200809L -D_XOPEN_SOURCE=700

LIB_PKGS = libpcre2-8 libutf8proc
LIB_CFLAGS := $(shell $(PKG_CONFIG) --cflags $(LIB_PKGS) 2>/dev/null)
LIB_LIBS := $(shell $(PKG_CONFIG) --libs $(LIB_PKGS) 2>/dev/null || \
              echo -lpcre2-8 -lutf8proc)
REPL_LIBS := $(shell $(PKG_CONFIG) --libs readline 2>/dev/null || \
               echo -lreadline)
TEST_LIBS := $(shell $(PKG_CONFIG) --libs cmocka 2>/dev/null || \
               echo -lcmocka)

INC_lib   = -Iinclude -Ilib $(LIB_CFLAGS)
INC_repl  = -Iinclude -Irepl $(POSIX)
INC_tests = -Iinclude -Ilib -Itests -Itests/support -Itests/ref $(POSIX)

number = $(shell sed -n 's/^\#define MARQ_VERSION_$(1) //p' include/marquer.h)
MAJOR := $(call number,MAJOR)
VERSION := $(MAJOR).$(call number,MINOR).$(call number,PATCH)
SONAME := libmarquer.so.$(MAJOR)

# ---- sources ------------------------------------------------------------

# lib/digest.c is a tool with its own main, not part of the library; what it
# prints, $(B)/builtin.c, is.
LIB_SRC := $(filter-out lib/digest.c,$(sort $(wildcard lib/*.c)))
LIB_OBJ := $(LIB_SRC:%.c=$(B)/%.o)
# It needs the loader and what lies below: floors 0 to 4.
DIGEST_MODULES := $(shell awk '!/^\#/ && NF && $$2 <= 4 { print $$1 }' lib/FLOORS)
DIGEST_SRC := $(sort $(foreach m,$(DIGEST_MODULES),\
                $(wildcard lib/$(m).c lib/$(m)_*.c)))
DIGEST_OBJ := $(DIGEST_SRC:%.c=$(B)/%.o)
VOCAB := $(sort $(wildcard vocab/*.vocab))
REPL_SRC := $(sort $(wildcard repl/*.c))
REPL_OBJ := $(REPL_SRC:%.c=$(B)/%.o)

# Every tests/*/test_*.c is a cmocka program, every tests/*/test_*.sh a shell
# test; other .c files beside them are helpers that any test may call.
TEST_SRC := $(sort $(wildcard tests/*/test_*.c))
TEST_BIN := $(TEST_SRC:%.c=$(B)/%)
TEST_SH  := $(sort $(wildcard tests/*/test_*.sh))
HELP_SRC := $(sort $(filter-out tests/bench/% tests/tools/% \
              $(TEST_SRC) $(wildcard tests/*/fuzz_*.c),$(wildcard tests/*/*.c)))
HELP_OBJ := $(HELP_SRC:%.c=$(B)/%.o)
HELP_LIB := $(if $(HELP_OBJ),$(B)/libtest.a)
FUZZ_SRC := $(sort $(wildcard tests/fuzz/fuzz_*.c))
FUZZ_BIN := $(FUZZ_SRC:%.c=$(B)/%)
BENCH_SRC := $(sort $(filter-out tests/bench/test_%,$(wildcard tests/bench/*.c)))
BENCH_BIN := $(BENCH_SRC:%.c=$(B)/%)
BENCH_SH := $(sort $(filter-out tests/bench/test_%,$(wildcard tests/bench/*.sh)))

tests_in = $(filter $(B)/tests/$(1)/%,$(TEST_BIN)) \
           $(filter tests/$(1)/%,$(TEST_SH))

# ---- building -----------------------------------------------------------

.PHONY: all program static shared
all: program static shared $(O)/marquer.pc ## program, static and shared library, pkg-config file
program: $(O)/marquer
static: $(O)/libmarquer.a
shared: $(O)/$(SONAME)

# Written only when it changes, so that other flags mean other objects.
FLAGS = $(CC) $(CPPFLAGS) $(CFLAGS) $(OURS) $(LIB_CFLAGS) $(LDFLAGS)
.PHONY: FORCE
$(B)/flags: FORCE
	@mkdir -p $(@D)
	@printf '%s\n' '$(subst ','\'',$(FLAGS))' >$@.now
	@if cmp -s $@.now $@; then rm $@.now; else mv $@.now $@; fi
$(B)/vocab.list: FORCE
	@mkdir -p $(@D)
	@printf '%s\n' $(VOCAB) >$@.now
	@if cmp -s $@.now $@; then rm $@.now; else mv $@.now $@; fi
$(B)/lib.list: FORCE
	@mkdir -p $(@D)
	@printf '%s\n' $(LIB_SRC) $(HELP_SRC) $(REPL_SRC) >$@.now
	@if cmp -s $@.now $@; then rm $@.now; else mv $@.now $@; fi

compile = @mkdir -p $(@D); echo "  CC $<"; \
          $(CC) $(CPPFLAGS) $(1) $(CFLAGS) $(OURS) -MMD -MP -c -o $@ $<
$(B)/lib/%.o: lib/%.c $(B)/flags
	$(call compile,$(INC_lib))
$(B)/repl/%.o: repl/%.c $(B)/flags
	$(call compile,$(INC_repl))
$(B)/tests/%.o: tests/%.c $(B)/flags
	$(call compile,$(INC_tests))
$(B)/builtin.o: $(B)/builtin.c $(B)/flags
	$(call compile,$(INC_lib))

link = @echo "  LINK $@"; $(CC) $(CFLAGS) $(LDFLAGS) -o $@

$(B)/digest: $(B)/lib/digest.o $(DIGEST_OBJ)
	$(link) $^ $(LIB_LIBS) $(LDLIBS)

# A fault of the vocabulary prints its lines and ends the build here.
$(B)/builtin.c: $(B)/digest $(VOCAB) $(B)/vocab.list
	@echo "  DIGEST $@"
	@rm -f $@.new
	@$(B)/digest $@.new $(VOCAB)
	@mv $@.new $@

$(O)/libmarquer.a: $(LIB_OBJ) $(B)/builtin.o $(B)/lib.list
	@echo "  AR $@"
	@rm -f $@
	@$(AR) rcs $@ $(filter %.o,$^)

$(O)/$(SONAME): $(LIB_OBJ) $(B)/builtin.o $(B)/lib.list
	$(link) -shared -Wl,-soname,$(SONAME) $(filter %.o,$^) \
	  $(LIB_LIBS) $(LDLIBS)
	@ln -sf $(SONAME) $(O)/libmarquer.so

$(O)/marquer: $(REPL_OBJ) $(O)/libmarquer.a $(B)/lib.list
	$(link) $(REPL_OBJ) $(O)/libmarquer.a $(LIB_LIBS) $(REPL_LIBS) $(LDLIBS)

$(O)/marquer.pc: include/marquer.h Makefile
	@mkdir -p $(@D)
	@printf '%s\n' 'prefix=$(PREFIX)' 'includedir=$(INCLUDEDIR)' \
	  'libdir=$(LIBDIR)' '' 'Name: marquer' \
	  'Description: follows ballet combinations and writes the other side' \
	  'Version: $(VERSION)' 'Requires.private: $(LIB_PKGS)' \
	  'Libs: -L$${libdir} -lmarquer' 'Cflags: -I$${includedir}' >$@

$(B)/libtest.a: $(HELP_OBJ) $(B)/lib.list
	@rm -f $@
	@$(AR) rcs $@ $(filter %.o,$^)

$(TEST_BIN): $(B)/%: $(B)/%.o $(HELP_LIB) $(O)/libmarquer.a
	$(link) $< $(HELP_LIB) $(O)/libmarquer.a $(LIB_LIBS) $(TEST_LIBS) \
	  $(LDLIBS)
$(FUZZ_BIN): $(B)/%: $(B)/%.o $(B)/tests/fuzz/entry.o $(O)/libmarquer.a
	$(link) -fsanitize=fuzzer $^ $(LIB_LIBS) $(LDLIBS)
# tests/bench/empty.c is the peer that links what the program links and does
# nothing; every other file there is linked with the library.
$(filter %/empty,$(BENCH_BIN)): $(B)/%: $(B)/%.o
	$(link) $< -Wl,--no-as-needed $(LIB_LIBS) $(REPL_LIBS) $(LDLIBS)
$(filter-out %/empty,$(BENCH_BIN)): $(B)/%: $(B)/%.o $(O)/libmarquer.a
	$(link) $< $(O)/libmarquer.a $(LIB_LIBS) $(LDLIBS)

-include $(wildcard $(B)/*.d $(B)/lib/*.d $(B)/repl/*.d $(B)/tests/*/*.d)

# ---- what must be installed ---------------------------------------------

.PHONY: need
LEVEL ?= check
need: ## install what is missing for LEVEL=demo, check, all or fuzz (NO_INSTALL=1: only say)
	@CC='$(CC)' PKG_CONFIG='$(PKG_CONFIG)' NO_INSTALL='$(NO_INSTALL)' \
	  sh tests/tools/need.sh $(LEVEL)

# A make of its own, so that what was just installed is seen.
AGAIN = $(MAKE) --no-print-directory
PARALLEL = $(if $(findstring jobserver,$(MAKEFLAGS)),,-j$(JOBS))

.PHONY: demo demo-run
demo: ## install what is missing, build, check one combination, write its other side
	+@$(AGAIN) need LEVEL=demo
	+@$(AGAIN) $(PARALLEL) program
	+@$(AGAIN) demo-run
demo-run:
	@test -f $(DEMO) || { echo "demo: no $(DEMO)" >&2; exit 1; }
	@echo; echo "\$$ cat $(DEMO)"; cat $(DEMO)
	@echo; echo "\$$ $(O)/marquer check $(DEMO)"; $(O)/marquer check $(DEMO)
	@echo; echo "\$$ $(O)/marquer other-side $(DEMO)"; \
	  $(O)/marquer other-side $(DEMO)

# ---- tests --------------------------------------------------------------

RUN = MARQUER='$(abspath $(O)/marquer)' MARQ_DIGEST='$(abspath $(B)/digest)' \
      MARQ_LIB='$(abspath $(O))' MARQ_BUILD='$(abspath $(B))' \
      MARQ_BUILDS='$(BUILD)' \
      MARQ_VARIANT='$(VARIANT)' CC='$(CC)' \
      ASAN_OPTIONS="detect_leaks=1:$$ASAN_OPTIONS" \
      UBSAN_OPTIONS="print_stacktrace=1:$$UBSAN_OPTIONS" \
      JOBS='$(JOBS)' sh tests/tools/run-tests.sh

.PHONY: build-tests quick check check-all long
build-tests: program $(TEST_BIN)

quick: build-tests
	@$(RUN) $(VARIANT) $(B)/log $(TEST_BIN) $(TEST_SH)

check: ## install what is missing, build, run all quick tests
	+@$(AGAIN) need LEVEL=check
	+@$(AGAIN) $(PARALLEL) all build-tests
	@rm -f $(BUILD)/totals-check
	+@MARQ_TOTALS=$(BUILD)/totals-check $(AGAIN) quick || true
	@sh tests/tools/run-tests.sh --sum $(BUILD)/totals-check

check-all: ## sanitizers, both compilers, long properties, valgrind, floors, symbols, vocabulary, docs
	+@$(AGAIN) need LEVEL=all
	@rm -f $(BUILD)/totals-all
	+@MARQ_TOTALS=$(BUILD)/totals-all MAKE='$(MAKE)' JOBS='$(JOBS)' \
	  sh tests/tools/check-all.sh
	@sh tests/tools/run-tests.sh --sum $(BUILD)/totals-all

long: build-tests ## exhaust, property and ref tests at full length
	@MARQ_LONG=1 $(RUN) long $(B)/log-long \
	  $(foreach d,exhaust property ref,$(call tests_in,$(d)))

# One target a directory of tests.
KINDS = unit golden exhaust property oom repl ref
.PHONY: $(KINDS) fuzz-smoke bless
$(KINDS): build-tests ## the tests of that directory alone
	@$(RUN) $@ $(B)/log $(call tests_in,$@)
fuzz-smoke: build-tests ## stored and mutated noise through every entry, quickly
	@$(RUN) $@ $(B)/log $(call tests_in,fuzz)
bless: build-tests ## rewrite recorded outputs (the signature of all moves); read the diff
	@MARQ_BLESS=1 $(RUN) $@ $(B)/log $(call tests_in,golden) \
	  $(call tests_in,exhaust)

.PHONY: asan ubsan coverage valgrind both-cc fuzz
asan: ## all quick tests under the address and undefined-behaviour sanitizers
	+@$(AGAIN) $(PARALLEL) VARIANT=asan build-tests
	+@$(AGAIN) VARIANT=asan quick
ubsan: ## the same, undefined behaviour alone
	+@$(AGAIN) $(PARALLEL) VARIANT=ubsan build-tests
	+@$(AGAIN) VARIANT=ubsan quick
coverage: ## lines and branches of lib/ the quick tests reach
	+@$(AGAIN) $(PARALLEL) VARIANT=coverage build-tests
	@find $(BUILD)/coverage -name '*.gcda' -exec rm -f {} +
	+@$(AGAIN) VARIANT=coverage quick
	@sh tests/tools/coverage.sh $(BUILD)/coverage
valgrind: build-tests ## unit tests and the program under valgrind
	@$(RUN) $@ $(B)/log tests/tools/valgrind.sh
both-cc: ## gcc and clang, -O0 and -O2: quick tests, outputs compared
	+@set -e; for v in gcc-O0 gcc-O2 clang-O0 clang-O2; do \
	  $(AGAIN) $(PARALLEL) VARIANT=$$v build-tests; \
	  $(AGAIN) VARIANT=$$v quick; done
	@$(RUN) $@ $(B)/log tests/tools/same-output.sh
FUZZ_SECONDS ?= 60
fuzz: ## each tests/fuzz/fuzz_*.c with libFuzzer for FUZZ_SECONDS, from its seeds
	@test -n '$(FUZZ_SRC)' || { echo 'fuzz: no tests/fuzz/fuzz_*.c' >&2; \
	  exit 1; }
	+@$(AGAIN) need LEVEL=fuzz
	+@$(AGAIN) $(PARALLEL) VARIANT=fuzz fuzz-build
	@set -e; for f in $(FUZZ_SRC:tests/fuzz/%.c=%); do \
	  mkdir -p $(BUILD)/fuzz/corpus/$$f; \
	  $(BUILD)/fuzz/tests/fuzz/$$f -max_total_time=$(FUZZ_SECONDS) \
	    -rss_limit_mb=2048 -timeout=5 -print_final_stats=1 \
	    -artifact_prefix=$(BUILD)/fuzz/ $(BUILD)/fuzz/corpus/$$f \
	    tests/fuzz/seeds/$${f#fuzz_}; done
.PHONY: fuzz-build
fuzz-build: $(FUZZ_BIN)

.PHONY: floors symbols vocab-lint docs-check
floors: ## includes go downwards only; repl/ uses the public header alone
	@$(RUN) $@ $(B)/log tests/tools/floors.sh
symbols: all ## exported names equal tests/symbols.txt; no allocator, file or exit in lib/
	@NM='$(NM)' $(RUN) $@ $(B)/log tests/tools/symbols.sh
vocab-lint: build-tests ## the vocabulary's own checks
	@$(RUN) $@ $(B)/log tests/tools/vocab-lint.sh $(call tests_in,vocab)
docs-check: program build-tests ## pages, links and examples of README and docs/
	@$(RUN) $@ $(B)/log tests/tools/docs-check.sh $(call tests_in,docs)

.PHONY: tidy format bench
tidy: ## clang-tidy over lib/ and repl/
	@clang-tidy --quiet --warnings-as-errors='*' \
	  --checks='-*,bugprone-*,-bugprone-narrowing-conversions,-bugprone-easily-swappable-parameters,-bugprone-reserved-identifier,clang-analyzer-*,-clang-analyzer-security.insecureAPI.DeprecatedOrUnsafeBufferHandling' \
	  $(LIB_SRC) lib/digest.c -- -std=c11 $(INC_lib)
	@clang-tidy --quiet --warnings-as-errors='*' \
	  --checks='-*,bugprone-*,-bugprone-narrowing-conversions,-bugprone-easily-swappable-parameters,-bugprone-reserved-identifier,clang-analyzer-*,-clang-analyzer-security.insecureAPI.DeprecatedOrUnsafeBufferHandling' \
	  $(REPL_SRC) -- -std=c11 $(INC_repl)
FILES ?=
format: ## clang-format FILES='lib/x.c ...', only what one is working on
	@test -n '$(FILES)' || { echo "format: FILES='lib/x.c ...'" >&2; exit 2; }
	clang-format -i $(FILES)
bench: all $(BENCH_BIN) ## ratios beside named peers; exit 1 past a limit
	@test -n '$(BENCH_SH)$(BENCH_SRC)' || { \
	  echo 'bench: tests/bench has no bench yet' >&2; exit 1; }
	@set -e; export MARQUER='$(abspath $(O)/marquer)' \
	  MARQ_BENCH='$(abspath $(B)/tests/bench)' CC='$(CC)'; \
	if test -n '$(BENCH_SH)'; then for s in $(BENCH_SH); do sh $$s; done; \
	else for p in $(filter-out %/empty,$(BENCH_BIN)); do $$p; done; fi

# ---- installing, handing on ---------------------------------------------

.PHONY: install uninstall dist clean help
MAN = $(sort $(wildcard docs/man/*.[1-9]))
install: all ## header, libraries, pkg-config file, program, man pages
	$(INSTALL) -d '$(DESTDIR)$(BINDIR)' '$(DESTDIR)$(INCLUDEDIR)' \
	  '$(DESTDIR)$(LIBDIR)/pkgconfig'
	$(INSTALL) -m 755 $(O)/marquer '$(DESTDIR)$(BINDIR)/marquer'
	$(INSTALL) -m 644 include/marquer.h '$(DESTDIR)$(INCLUDEDIR)/marquer.h'
	$(INSTALL) -m 644 $(O)/libmarquer.a '$(DESTDIR)$(LIBDIR)/libmarquer.a'
	$(INSTALL) -m 755 $(O)/$(SONAME) '$(DESTDIR)$(LIBDIR)/$(SONAME)'
	ln -sf $(SONAME) '$(DESTDIR)$(LIBDIR)/libmarquer.so'
	@$(MAKE) --no-print-directory -B $(O)/marquer.pc
	$(INSTALL) -m 644 $(O)/marquer.pc \
	  '$(DESTDIR)$(LIBDIR)/pkgconfig/marquer.pc'
	@set -e; for m in $(MAN); do d='$(DESTDIR)$(MANDIR)'/man$${m##*.}; \
	  $(INSTALL) -d "$$d"; $(INSTALL) -m 644 $$m "$$d"; done
uninstall: ## what install put there
	rm -f '$(DESTDIR)$(BINDIR)/marquer' '$(DESTDIR)$(INCLUDEDIR)/marquer.h' \
	  '$(DESTDIR)$(LIBDIR)/libmarquer.a' '$(DESTDIR)$(LIBDIR)/$(SONAME)' \
	  '$(DESTDIR)$(LIBDIR)/libmarquer.so' \
	  '$(DESTDIR)$(LIBDIR)/pkgconfig/marquer.pc'
	@for m in $(MAN); do \
	  rm -f '$(DESTDIR)$(MANDIR)'/man$${m##*.}/$${m##*/}; done
dist: ## build/marquer-VERSION.tar.gz of what is committed
	@mkdir -p $(BUILD)
	git archive --prefix=marquer-$(VERSION)/ \
	  -o $(BUILD)/marquer-$(VERSION).tar.gz HEAD
clean: ## remove build/
	rm -rf $(BUILD)
help: ## this list
	@awk -F ':.*## ' '/^[$$a-z][^=]*:.*## / { n = $$1; \
	  if (n == "$$(KINDS)") n = "$(KINDS)"; \
	  if (length(n) > 14) { print n; n = "" } \
	  printf "%-14s %s\n", n, $$2 }' Makefile
