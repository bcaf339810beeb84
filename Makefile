# Shortcuts to meson, npm and the scripts in tools/; nothing is decided here.
# Two of them are all a newcomer needs: make run, make check. Without make: tools/run, tools/check.

.PHONY: all build run check asan clang tidy fmt fmt-check bench bench-learn fuzz layers headers words cover \
    pages install clean

all: build

build:
	@tools/need build
	@tools/build

run:
	@tools/run $(ARGS)

check:
	@tools/check

pages:
	cd ui && npm ci && npm run build

# the compiled tests under the address and undefined-behaviour sanitizers
asan:
	@[ -f build-asan/build.ninja ] || meson setup build-asan -Db_sanitize=address,undefined \
	    -Db_lundef=false
	@BUILD=build-asan UBSAN_OPTIONS=halt_on_error=1:print_stacktrace=1 tools/check c

# the other compiler, every warning an error
clang:
	@[ -f build-clang/build.ninja ] || CC=clang meson setup build-clang --werror
	@ninja -C build-clang

tidy: clang
	clang-tidy --quiet -p build-clang $(shell git ls-files 'src/*.c')

FORMATTED = $(shell git ls-files '*.c' '*.h')
fmt:
	clang-format -i $(FORMATTED)

fmt-check:
	@clang-format --dry-run -Werror $(FORMATTED)

bench: build
	@bench/run

# coverage, and rounds to a proven wick at full size: an hour
bench-learn: build
	@bench/study coverage -makers 64
	@bench/study coverage -makers 24 -wicks 2 -candles 2 -sessions 6 -keep 1
	@bench/rounds/run 300

# make fuzz T=quantity S=60
fuzz:
	@tools/fuzz "$(T)" $(S)

layers headers words:
	@tools/$@

cover:
	@[ -f build-cover/build.ninja ] || meson setup build-cover -Db_coverage=true
	@BUILD=build-cover tools/check c
	@gcovr -r . --object-directory build-cover -f src/ --sort-percentage

install: build
	meson install -C build

clean:
	rm -rf build build-asan build-clang build-cover build-fuzz ui/dist
