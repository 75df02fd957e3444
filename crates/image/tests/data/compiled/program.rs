//! A small program for tests: reports settings, mixes numbers, floats where the target has them. It runs nowhere.
#![no_std]
#![no_main]
use core::fmt::Write;
use core::ptr::{read_volatile, write_volatile};
const PORT: *mut u32 = 0x4000_4000 as *mut u32;
static mut COUNTS: [u32; 300] = [0; 300];
static mut GAINS: [u32; 16] = [7, 9, 21, 34, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15];
struct Line;
impl Write for Line {
    fn write_str(&mut self, text: &str) -> core::fmt::Result {
        for byte in text.bytes() { unsafe { write_volatile(PORT, u32::from(byte)) } }
        Ok(())
    }
}
#[panic_handler]
fn panic(_: &core::panic::PanicInfo) -> ! { loop {} }
extern "C" fn stop() -> ! { loop {} }
extern "C" fn tick() { unsafe { COUNTS[0] = COUNTS[0].wrapping_add(1); if COUNTS[0] % 1000 == 3 { report(COUNTS[0] / 7) } } }
extern "C" fn serial() { unsafe { let at = (read_volatile(PORT) as usize) % 300; COUNTS[at] = COUNTS[at].rotate_left(3) ^ GAINS[at % 16]; GAINS[at % 16] += 1 } }
#[inline(never)]
fn report(number: u32) {
    let _ = writeln!(Line, "report:  M92 X{} Y{}", number, number / 3);
    let _ = writeln!(Line, "report:  M301 P{} I{}", number ^ 5, number.wrapping_mul(77) % 1009);
    let _ = writeln!(Line, "NAME:Example 0.3.1-b7 MACHINE:Bench");
}
type Command = fn(u32) -> u32;
fn double(number: u32) -> u32 { let _ = write!(Line, "M17 {number}"); number * 2 }
fn thirds(number: u32) -> u32 { let _ = write!(Line, "M18 {number}"); number / 3 }
fn mixed(number: u32) -> u32 { let _ = write!(Line, "M19 {number}"); (scaled(number) as u32).wrapping_mul(5) }
fn sorted(number: u32) -> u32 { unsafe { let all = &mut *core::ptr::addr_of_mut!(COUNTS); all.sort_unstable(); all[(number % 300) as usize] } }
fn parsed(number: u32) -> u32 { let mut text = [b'0'; 4]; text[1] = b'0' + (number % 10) as u8; core::str::from_utf8(&text).ok().and_then(|text| text.parse().ok()).unwrap_or(number) }
fn hexed(number: u32) -> u32 { let _ = write!(Line, "{number:08x} {:?}", Some(number)); number }
fn summed(number: u32) -> u32 { unsafe { let all = &*core::ptr::addr_of!(COUNTS); all.iter().fold(number, |sum, own| sum.wrapping_add(*own)) } }
fn wide(number: u32) -> u32 { let _ = write!(Line, "{}", u64::from(number) * 1_000_003); number }
#[used]
static COMMANDS: [Command; 8] = [double, thirds, mixed, sorted, parsed, hexed, summed, wide];
#[inline(never)]
fn scaled(number: u32) -> f32 { (number as f32) * 0.3 + 1.5 }
#[unsafe(no_mangle)]
unsafe extern "C" fn reset() -> ! {
    let mut number = 1;
    loop {
        let which = unsafe { read_volatile(PORT) } as usize % COMMANDS.len();
        number = COMMANDS[which](number).wrapping_add(scaled(number) as u32);
        report(number);
    }
}
#[repr(C)]
union Vector { handler: unsafe extern "C" fn() -> !, plain: extern "C" fn(), word: usize }
unsafe impl Sync for Vector {}
#[used]
#[unsafe(link_section = ".vectors")]
static VECTORS: [Vector; 39] = {
    const fn stopped() -> Vector { Vector { plain: unsafe { core::mem::transmute::<extern "C" fn() -> !, extern "C" fn()>(stop) } } }
    const fn none() -> Vector { Vector { word: 0 } }
    [Vector { handler: reset }, stopped(), stopped(), none(), none(), none(), none(), none(), none(), none(), stopped(), none(), none(), stopped(), Vector { plain: tick },
     stopped(), stopped(), Vector { plain: serial }, stopped(), stopped(), stopped(), stopped(), stopped(), stopped(), stopped(), stopped(), stopped(), stopped(), stopped(), stopped(), stopped(),
     stopped(), stopped(), stopped(), stopped(), stopped(), stopped(), stopped(), stopped()]
};
