//! `serve`: what can be typed.

use super::history::StoreArg;
use clap::Args;
use std::net::IpAddr;

const EXAMPLES: &str = "Examples:
  wellbled serve
  wellbled serve --port 9000 --store runs
  wellbled serve --listen 192.168.1.20

Then open the printed address in a browser. End it with Ctrl-C.
On a network a key is printed; each device types one, once.";

/// `serve`.
#[derive(Args, Debug)]
#[command(after_help = EXAMPLES)]
pub struct ServeArgs {
    /// Port to listen on; 0 takes a free one.
    #[arg(long, value_name = "PORT", default_value_t = 8421)]
    pub port: u16,
    /// Address to listen on, in place of this machine's own alone; visitors then need the printed key.
    #[arg(long, value_name = "ADDRESS")]
    pub listen: Option<IpAddr>,
    /// A further name under which it is reached: workshop.local. May be repeated.
    #[arg(long = "name", value_name = "NAME")]
    pub names: Vec<String>,
    /// Where runs are kept.
    #[command(flatten)]
    pub store: StoreArg,
}
