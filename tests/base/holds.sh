# Counting for shell tests: source it before leaving the folder of the call. Sets passed and failed to 0.
passed=0 failed=0

holds() { # what, command...: one check; what the command said is shown when it does not hold
    what=$1
    shift
    if "$@" >out 2>err </dev/null; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "not so: $what"
        cat out err | head -n 8 | sed 's/^/    /'
    fi
}
