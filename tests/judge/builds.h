// What the candles of the ready cases did. All invented; test_cases.c says what each is to show
// and where its threshold comes from.
#pragma once
#include "bench.h"

static void three_calm(bench *b)
{
    bench_calm(b, 10);
    bench_calm(b, 10);
    bench_calm(b, 10);
}

static void calm_but(bench *b, int session, ep_reading_kind kind, double value)
{
    three_calm(b);
    bench_set(b, 1, session, kind, value);
}

static void two_calm(bench *b)
{
    bench_calm(b, 10);
    bench_calm(b, 10);
}

static void too_early(bench *b)
{
    bench_calm(b, 2);
    bench_calm(b, 2);
    bench_calm(b, 2);
}

// wall to wall within the hour, deep by the middle, hot and sooty near the end
static void over_wicked(bench *b)
{
    three_calm(b);
    for (int candle = 0; candle < 3; candle++) {
        bench_read(b, candle, 1, 60.0, EP_READ_POOL_AT_WALL, 1.0);
        bench_set(b, candle, 5, EP_READ_POOL_DEPTH, 15.0);
        bench_set(b, candle, 9, EP_READ_WALL_TEMP, 84.0);
        bench_set(b, candle, 9, EP_READ_SOOT, 2.0);
    }
}

static void under_wicked(bench *b)
{
    for (int candle = 0; candle < 2; candle++) {
        bench_calm(b, 4);
        for (int s = 1; s <= 4; s++) {
            bench_set(b, candle, s, EP_READ_POOL_NARROW, 48.0);
            bench_set(b, candle, s, EP_READ_POOL_WIDE, 50.0);
            bench_set(b, candle, s, EP_READ_FLAME, 11.0);
        }
    }
}

static void wide_jar_under_wicked(bench *b)
{
    under_wicked(b);
    for (int i = 0; i < b->d.n_burns; i++) {
        b->burn[i].inner_m = 0.095;
    }
}

// a ring at session 3 that is nearly gone: watch, do not call it
static void thin_ring(bench *b)
{
    bench_calm(b, 3);
    bench_set(b, 0, 3, EP_READ_POOL_NARROW, 69.0);
}

// only yes and no: not at the wall, and the ring measured
static void flags_only_small(bench *b)
{
    bench_calm(b, 3);
    bench_drop(b, EP_READ_POOL_NARROW);
    bench_drop(b, EP_READ_POOL_WIDE);
    for (int s = 1; s <= 3; s++) {
        bench_read(b, 0, s, 230.0, EP_READ_POOL_AT_WALL, 0.0);
        bench_read(b, 0, s, 235.0, EP_READ_HANGUP_THICK, 9.0);
    }
}

static void early_hang_up(bench *b)
{
    three_calm(b);
    for (int candle = 0; candle < 3; candle++) {
        bench_read(b, candle, 1, 235.0, EP_READ_HANGUP_THICK, 8.0);
        bench_read(b, candle, 1, 235.0, EP_READ_HANGUP_SHARE, 100.0);
        bench_read(b, candle, 3, 235.0, EP_READ_HANGUP_THICK, 3.0);
        bench_read(b, candle, 9, 235.0, EP_READ_HANGUP_THICK, 0.5);
        bench_read(b, candle, 9, 235.0, EP_READ_HANGUP_SHARE, 10.0);
    }
}

static void late_hang_up(bench *b)
{
    three_calm(b);
    for (int candle = 0; candle < 3; candle++) {
        bench_read(b, candle, 9, 235.0, EP_READ_HANGUP_THICK, 5.0);
        bench_read(b, candle, 9, 235.0, EP_READ_HANGUP_SHARE, 90.0);
    }
}

// the last of the wax burns for an hour only: too short for the pool to get to the wall
static void ring_of_the_last_hour(bench *b)
{
    three_calm(b);
    for (int candle = 0; candle < 3; candle++) {
        bench_find_burn(b, candle, 10)->lit_min = 60.0;
        bench_set(b, candle, 10, EP_READ_POOL_NARROW, NONE);
        bench_set(b, candle, 10, EP_READ_POOL_WIDE, NONE);
        bench_read(b, candle, 10, 58.0, EP_READ_POOL_NARROW, 60.0);
        bench_read(b, candle, 10, 58.0, EP_READ_HANGUP_THICK, 7.5);
        bench_read(b, candle, 10, 58.0, EP_READ_HANGUP_SHARE, 100.0);
    }
}

// the same after sessions that ended with a ring too
static void ring_of_the_last_hours(bench *b)
{
    ring_of_the_last_hour(b);
    for (int candle = 0; candle < 3; candle++) {
        for (int session = 8; session <= 9; session++) {
            bench_set(b, candle, session, EP_READ_POOL_NARROW, 69.0);
            bench_set(b, candle, session, EP_READ_POOL_WIDE, 71.0);
        }
    }
}

static void carbon_and_short(bench *b)
{
    bench_calm(b, 4);
    bench_calm(b, 4);
    for (int candle = 0; candle < 2; candle++) {
        bench_set(b, candle, 4, EP_READ_MUSHROOM, 3.0);
        bench_set(b, candle, 4, EP_READ_SOOT, 2.0);
        bench_set(b, candle, 4, EP_READ_POOL_NARROW, 55.0);
        bench_set(b, candle, 4, EP_READ_POOL_WIDE, 57.0);
    }
}

static void carbon_pool_unread(bench *b)
{
    bench_calm(b, 2);
    bench_set(b, 0, 2, EP_READ_SOOT, 2.0);
}

static void smokes_often(bench *b)
{
    calm_but(b, 6, EP_READ_SMOKE, 2.0);
}

static void smokes_always(bench *b)
{
    calm_but(b, 6, EP_READ_SMOKE, 3.0);
}

// a heavy load: the flame dies over a pool as wide as it should be
static void drowns(bench *b)
{
    for (int candle = 0; candle < 2; candle++) {
        bench_calm(b, 4);
        bench_set(b, candle, 4, EP_READ_WENT_OUT, 1.0);
        bench_find_burn(b, candle, 4)->lit_min = 150.0;
    }
}

static void drowns_uncured(bench *b)
{
    drowns(b);
    for (int i = 0; i < b->d.n_burns; i++) {
        b->burn[i].before_cure = true;
    }
}

static void out_once_early(bench *b)
{
    bench_calm(b, 1);
    bench_set(b, 0, 1, EP_READ_WENT_OUT, 1.0);
}

static void out_at_the_end(bench *b)
{
    three_calm(b);
    bench_set(b, 0, 10, EP_READ_WENT_OUT, 1.0);
    bench_find_burn(b, 0, 10)->lit_min = 190.0;
}

// not yet marked as burned to the end, but hardly any wax left
static void out_with_little_left(bench *b)
{
    bench_calm(b, 9);
    bench_find_burn(b, 0, 9)->left_frac = 0.08;
    bench_set(b, 0, 9, EP_READ_WENT_OUT, 1.0);
}

static void tunnels_out(bench *b)
{
    under_wicked(b);
    bench_set(b, 0, 4, EP_READ_WENT_OUT, 1.0);
}

static void many_relights(bench *b)
{
    bench_calm(b, 4);
    bench_set(b, 0, 4, EP_READ_RELIGHTS, 6.0);
}

static void draughty_and_sooty(bench *b)
{
    bench_calm(b, 4);
    bench_find_burn(b, 0, 4)->draught = 3;
    bench_set(b, 0, 4, EP_READ_SOOT, 3.0);
    bench_set(b, 0, 4, EP_READ_FLICKER, 3.0);
}

// the same, noted as readings and not with the session
static void draught_as_a_reading(bench *b)
{
    bench_calm(b, 4);
    bench_set(b, 0, 4, EP_READ_DRAUGHT, 2.0);
    bench_set(b, 0, 4, EP_READ_SOOT, 3.0);
}

static void cold_room_as_a_reading(bench *b)
{
    bench_calm(b, 4);
    bench_set(b, 0, 4, EP_READ_ROOM_TEMP, 12.0);
    bench_set(b, 0, 4, EP_READ_POOL_NARROW, 50.0);
    bench_set(b, 0, 4, EP_READ_POOL_WIDE, 52.0);
}

static void off_centre(bench *b)
{
    bench_calm(b, 3);
    bench_set(b, 0, 3, EP_READ_LEAN, 12.0);
    bench_set(b, 0, 3, EP_READ_WALL_TEMP, 82.0);
}

static void one_sided(bench *b)
{
    bench_calm(b, 3);
    bench_set(b, 0, 3, EP_READ_POOL_NARROW, 55.0);
    bench_set(b, 0, 3, EP_READ_POOL_WIDE, 74.0);
}

static void warm_room(bench *b)
{
    bench_calm(b, 3);
    bench_find_burn(b, 0, 3)->room_C = 29.0;
}

static void short_rest(bench *b)
{
    bench_calm(b, 3);
    bench_find_burn(b, 0, 3)->rest_before_h = 0.5;
}

static void broken_off(bench *b)
{
    bench_calm(b, 3);
    bench_find_burn(b, 0, 3)->lit_min = 150.0;
}

static void before_cure(bench *b)
{
    three_calm(b);
    for (int i = 0; i < b->d.n_burns; i++) {
        b->burn[i].before_cure = true;
    }
}

static void hot_before_cure(bench *b)
{
    before_cure(b);
    bench_set(b, 0, 9, EP_READ_WALL_TEMP, 83.0);
}

static void hot_at_once(bench *b)
{
    bench_calm(b, 1);
    bench_set(b, 0, 1, EP_READ_WALL_TEMP, 81.0);
    bench_find_burn(b, 0, 1)->over = false;
}

static void hot_at_the_end(bench *b)
{
    three_calm(b);
    for (int candle = 0; candle < 3; candle++) {
        bench_set(b, candle, 8, EP_READ_WALL_TEMP, 74.0);
        bench_set(b, candle, 9, EP_READ_WALL_TEMP, 80.0);
        bench_set(b, candle, 10, EP_READ_WALL_TEMP, 85.0);
    }
}

static void one_of_three_hot(bench *b)
{
    calm_but(b, 9, EP_READ_WALL_TEMP, 79.0);
}

static void hot_and_short(bench *b)
{
    under_wicked(b);
    for (int i = 0; i < b->d.n_burns; i++) {
        b->burn[i].inner_m = 0.1;
    }
    bench_set(b, 0, 4, EP_READ_FLAME, 90.0);
    bench_set(b, 1, 4, EP_READ_FLAME, 88.0);
}

static void tall_flame(bench *b)
{
    calm_but(b, 4, EP_READ_FLAME, 76.0);
}

static void flame_on_the_limit(bench *b)
{
    calm_but(b, 4, EP_READ_FLAME, 75.0);
}

static void loose_reading(bench *b)
{
    bench_calm(b, 2);
    bench_read(b, 0, 7, 30.0, EP_READ_FLAME, 95.0);
}

static void second_flame(bench *b)
{
    calm_but(b, 3, EP_READ_SECOND_FLAME, 11.0);
}

static void second_flame_brief(bench *b)
{
    calm_but(b, 3, EP_READ_SECOND_FLAME, 10.0);
}

static void flashover(bench *b)
{
    calm_but(b, 8, EP_READ_FLASHOVER, 1.0);
}

static void broken(bench *b)
{
    calm_but(b, 10, EP_READ_BROKEN, 1.0);
}

static void tips(bench *b)
{
    bench_candle(b, false);
    bench_read(b, 0, 0, 0.0, EP_READ_TIPS, 1.0);
}

static void at_the_wall(bench *b)
{
    bench_calm(b, 3);
    bench_drop(b, EP_READ_LEAN);
    bench_set(b, 0, 3, EP_READ_WALL_GAP, 1.0);
}

static void centred_at_the_wall(bench *b)
{
    bench_calm(b, 3);
    bench_set(b, 0, 3, EP_READ_WALL_GAP, 1.0);
}

static void near_the_wall(bench *b)
{
    bench_calm(b, 3);
    bench_set(b, 0, 3, EP_READ_WALL_GAP, 4.0);
}

static void power_burning(bench *b)
{
    bench_calm(b, 3);
    ep_burn_record *r = bench_find_burn(b, 0, 3);
    r->lit_min = 480.0;
    r->over = false;
}

// the abuse test comes after three calm candles; what it reads late is not theirs
static void power_burned(bench *b)
{
    three_calm(b);
    int candle = bench_candle(b, false);
    bench_calm_session(b, candle, 1, 0.8);
    bench_find_burn(b, candle, 1)->lit_min = 600.0;
    bench_read(b, candle, 1, 590.0, EP_READ_WALL_TEMP, 88.0);
    bench_read(b, candle, 1, 590.0, EP_READ_MUSHROOM, 3.0);
    bench_read(b, candle, 1, 590.0, EP_READ_SOOT, 3.0);
    bench_read(b, candle, 1, 590.0, EP_READ_FLAME, 82.0);
}

static void long_afterglow(bench *b)
{
    three_calm(b);
    for (int i = 0; i < b->d.n_readings; i++) {
        if (b->reading[i].kind == EP_READ_AFTERGLOW) {
            b->reading[i].value = i % 2 ? 31.0 : 30.5;
        }
    }
}

static void one_long_afterglow(bench *b)
{
    calm_but(b, 4, EP_READ_AFTERGLOW, 200.0);
}

static void afterglow_of_old_edition(bench *b)
{
    three_calm(b);
    for (int i = 0; i < b->d.n_readings; i++) {
        if (b->reading[i].kind == EP_READ_AFTERGLOW) {
            b->reading[i].value = 24.0;
        }
    }
}

static void candles_differ(bench *b)
{
    bench_calm(b, 4);
    bench_calm(b, 4);
    bench_set(b, 1, 4, EP_READ_POOL_NARROW, 50.0);
    bench_set(b, 1, 4, EP_READ_POOL_WIDE, 52.0);
}

// wall to wall in session 1 is no vote for the wick: the other was seen in session 4
static void early_pool_is_no_vote(bench *b)
{
    bench_calm(b, 1);
    bench_set(b, 0, 1, EP_READ_POOL_NARROW, 74.0);
    bench_calm(b, 4);
    bench_set(b, 1, 4, EP_READ_POOL_NARROW, 50.0);
    bench_set(b, 1, 4, EP_READ_POOL_WIDE, 52.0);
}

static void heading_hot(bench *b)
{
    bench_calm(b, 5);
    for (int s = 2; s <= 5; s++) {
        bench_set(b, 0, s, EP_READ_WALL_TEMP, 45.0 + 6.0 * (s - 1));
    }
}

static void flickers(bench *b)
{
    calm_but(b, 5, EP_READ_FLICKER, 2.0);
}

static void weak_scent(bench *b)
{
    calm_but(b, 5, EP_READ_THROW, 1.0);
}

static void thin_margin(bench *b)
{
    three_calm(b);
    bench_set(b, 0, 10, EP_READ_WALL_TEMP, 75.5);
    bench_set(b, 1, 10, EP_READ_WALL_TEMP, 76.0);
    bench_set(b, 2, 10, EP_READ_WALL_TEMP, 75.0);
}

static void last_quarter_unread(bench *b)
{
    three_calm(b);
    int n = 0;
    for (int i = 0; i < b->d.n_readings; i++) {
        const ep_reading *r = &b->reading[i];
        if (r->candle != 2 || r->session < 8 || r->kind != EP_READ_WALL_TEMP) {
            b->reading[n++] = *r;
        }
    }
    b->d.n_readings = n;
}

// weighed on a kitchen scale, no share of wax noted: the same verdict
static void weighed_only(bench *b)
{
    three_calm(b);
    for (int i = 0; i < b->d.n_burns; i++) {
        ep_burn_record *r = &b->burn[i];
        r->after_kg = 0.300 + 0.220 * r->left_frac;
        r->before_kg = r->after_kg + 0.220 * 0.096;
        r->left_frac = NONE;
    }
}

// the share left follows from the weighings of sessions already burned
static void weighed_half_way(bench *b)
{
    bench_calm(b, 4);
    for (int i = 0; i < b->d.n_burns; i++) {
        ep_burn_record *r = &b->burn[i];
        r->after_kg = 0.300 + 0.220 * r->left_frac;
        r->before_kg = r->after_kg + 0.220 * 0.096;
        r->left_frac = NONE;
    }
}

// flame and glass read early in each session: the hot end of it was not seen
static void read_too_early(bench *b)
{
    three_calm(b);
    for (int i = 0; i < b->d.n_readings; i++) {
        ep_reading *r = &b->reading[i];
        if (r->candle == 0 && (r->kind == EP_READ_FLAME || r->kind == EP_READ_WALL_TEMP)) {
            r->minute = 120.0;
        }
    }
}

// the wax was gone after two hours of the last session: late is late in those two
static void short_last_session(bench *b)
{
    three_calm(b);
    for (int i = 0; i < b->d.n_readings; i++) {
        ep_reading *r = &b->reading[i];
        bool hot = r->kind == EP_READ_FLAME || r->kind == EP_READ_WALL_TEMP;
        if (hot && r->session >= 8) {
            r->minute = r->session == 10 ? 110.0 : 60.0;
        }
    }
    for (int candle = 0; candle < 3; candle++) {
        bench_find_burn(b, candle, 10)->lit_min = 120.0;
    }
}

static void thin_ring_past_the_middle(bench *b)
{
    bench_calm(b, 7);
    for (int session = 6; session <= 7; session++) {
        bench_set(b, 0, session, EP_READ_POOL_NARROW, 69.0);
        bench_set(b, 0, session, EP_READ_POOL_WIDE, 71.0);
    }
}

// one width within a ruler's error of the limit, between full pools
static void thin_ring_once_past_the_middle(bench *b)
{
    bench_calm(b, 7);
    bench_set(b, 0, 6, EP_READ_POOL_NARROW, 70.5);
    bench_set(b, 0, 6, EP_READ_POOL_WIDE, 72.0);
}

// thin in the last session only, which nothing can follow
static void thin_ring_at_the_very_end(bench *b)
{
    three_calm(b);
    bench_set(b, 0, 10, EP_READ_POOL_NARROW, 70.5);
    bench_set(b, 0, 10, EP_READ_POOL_WIDE, 72.0);
}

// the same, and no other pool of the last quarter was read
static void thin_ring_all_the_last_quarter_tells(bench *b)
{
    thin_ring_at_the_very_end(b);
    for (int session = 7; session <= 9; session++) {
        bench_set(b, 0, session, EP_READ_POOL_NARROW, NONE);
        bench_set(b, 0, session, EP_READ_POOL_WIDE, NONE);
    }
}

// the last pool of a session is read at 3 h of 4
static void pool_at_three_hours(bench *b, int session, double narrow_mm)
{
    for (int i = 0; i < b->d.n_readings; i++) {
        ep_reading *r = &b->reading[i];
        bool pool = r->kind == EP_READ_POOL_NARROW || r->kind == EP_READ_POOL_WIDE;
        if (r->session == session && pool && r->minute > 200.0) {
            r->minute = 180.0;
            r->value = narrow_mm;
        }
    }
}

// 64 of 75 mm at 3 h of 4: by the end it may be wall to wall, so the ring does not count yet
static void short_at_three_hours(bench *b)
{
    bench_calm(b, 7);
    for (int session = 5; session <= 7; session++) {
        pool_at_three_hours(b, session, 64.0);
    }
}

// three candles to the end, and nobody knows whether the pool was whole when they were put out
static void last_quarter_at_three_hours(bench *b)
{
    three_calm(b);
    for (int session = 5; session <= 10; session++) {
        pool_at_three_hours(b, session, 64.0);
    }
}

// 40 of 75 mm at 3 h of 4 cannot be whole by the end
static void thick_at_three_hours(bench *b)
{
    bench_calm(b, 3);
    pool_at_three_hours(b, 3, 40.0);
}

static void widest_only(bench *b)
{
    three_calm(b);
    bench_drop(b, EP_READ_POOL_NARROW);
}

static void pool_never_read(bench *b)
{
    bench_calm(b, 5);
    bench_drop(b, EP_READ_POOL_NARROW);
    bench_drop(b, EP_READ_POOL_WIDE);
}

static void out_with_pool_unread(bench *b)
{
    pool_never_read(b);
    bench_set(b, 0, 5, EP_READ_WENT_OUT, 1.0);
}

static void sooty_in_a_warm_room(bench *b)
{
    bench_calm(b, 4);
    bench_find_burn(b, 0, 4)->room_C = 30.0;
    bench_set(b, 0, 4, EP_READ_SOOT, 2.0);
}

static void trace_of_soot(bench *b)
{
    calm_but(b, 6, EP_READ_SOOT, 1.0);
}

static void growing_head(bench *b)
{
    calm_but(b, 6, EP_READ_MUSHROOM, 2.0);
}

// a draught while the depth was read: the next session took its place
static void draught_made_good(bench *b)
{
    three_calm(b);
    bench_find_burn(b, 1, 5)->draught = 2;
    bench_set(b, 1, 5, EP_READ_POOL_DEPTH, 14.0);
}

static void draught_at_the_very_end(bench *b)
{
    three_calm(b);
    bench_find_burn(b, 1, 10)->draught = 2;
    bench_set(b, 1, 10, EP_READ_POOL_DEPTH, 14.0);
}

// eight hours are up for the depth limit too: it speaks of four
static void deep_after_five_hours(bench *b)
{
    three_calm(b);
    bench_find_burn(b, 1, 5)->lit_min = 310.0;
    bench_read(b, 1, 5, 300.0, EP_READ_POOL_DEPTH, 14.0);
}

static void nothing_weighed(bench *b)
{
    three_calm(b);
    for (int i = 0; i < b->d.n_burns; i++) {
        b->burn[i].left_frac = NONE;
    }
}

static void tea_light(bench *b, double flame_mm)
{
    b->d.tea_light = true;
    for (int i = 0; i < 3; i++) {
        int candle = bench_candle(b, true);
        b->candle[candle].wax_kg = 0.014;
        bench_burn(b, candle, 1, 0.0)->inner_m = 0.038;
        bench_read(b, candle, 1, 60.0, EP_READ_POOL_AT_WALL, 1.0);
        bench_read(b, candle, 1, 200.0, EP_READ_POOL_DEPTH, 14.0);
        bench_read(b, candle, 1, 200.0, EP_READ_FLAME, flame_mm);
        bench_read(b, candle, 1, 200.0, EP_READ_WALL_TEMP, 58.0);
        bench_read(b, candle, 1, 200.0, EP_READ_SOOT, 0.0);
    }
}

static void tea_light_calm(bench *b)
{
    tea_light(b, 21.0);
}

static void tea_light_tall(bench *b)
{
    tea_light(b, 31.0);
}

// one simulated life counts for the physics, not for replicates
static void forecast(bench *b)
{
    b->d.simulated = true;
    bench_calm(b, 10);
    for (int i = 0; i < b->d.n_readings; i++) {
        b->reading[i].id[0] = '\0';
    }
}

static void forecast_drowns(bench *b)
{
    b->d.simulated = true;
    bench_calm(b, 1);
    bench_set(b, 0, 1, EP_READ_WENT_OUT, 1.0);
}

static void nothing_yet(bench *b)
{
    (void)b;
}
